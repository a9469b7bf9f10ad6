"""Devices are answered before anybody's standing is worked out; whoever looks sees it worked out all the same."""

import os
import signal
import subprocess
import sys
from pathlib import Path

import pytest
from tests.desk import gym

from loftbook import desk as desks
from loftbook.desk import standing
from loftbook.desk.answers import athlete_answer, camp_answer, squad_answer
from loftbook.desk.lab.next_steps import athlete_steps, camp_steps
from loftbook.desk.letters import letter_of_one, letters_of_camp
from loftbook.desk.opening import open_desk
from loftbook.desk.standing import remake_all, up_to_date
from loftbook.desk.sync import Batch, take_in
from loftbook.store import standings
from loftbook.store.erasing import erase_athlete

pytestmark = pytest.mark.both_engines

HER, RUNG = gym.CHILDREN[0], gym.RUNGS[0]
#: Each answer that is made of standings, and what it says of her on that rung.
LOOKS = {
    "the camp": lambda desk: [s.done for s in camp_answer(desk, gym.CAMP).standings],
    "the squad": lambda desk: [
        row.standings[RUNG].done for row in squad_answer(desk).athletes if row.standings
    ],
    "her page": lambda desk: [
        c.standings[RUNG].done for c in athlete_answer(desk, HER).columns if c.standings
    ],
    "her next step": lambda desk: [len(athlete_steps(desk, HER).done)],
    "the camp's next steps": lambda desk: [
        len([row for row in camp_steps(desk, gym.CAMP).rows if row.athlete == HER])
    ],
    "the letters": lambda desk: [len(letters_of_camp(desk, gym.CAMP))],
    "her letter": lambda desk: [s.done for s in letter_of_one(desk, HER, gym.CAMP).seen],
}


@pytest.fixture
def desk():
    desk = gym.gym_desk()
    yield desk
    desk.store.close()


def behind(desk):
    with desk.store.read() as connection:
        return standings.behind(connection)


@pytest.mark.parametrize("look", LOOKS.values(), ids=LOOKS.keys())
def test_whoever_looks_first_sees_what_was_just_sent(desk, look):
    take_in(desk, Batch([gym.attempt(1)]))
    assert behind(desk) == ((gym.CAMP, HER),)
    assert look(desk) == [1]
    assert behind(desk) == ()


def test_an_answer_that_is_kept_gives_way_to_what_was_sent_since(desk):
    take_in(desk, Batch([gym.attempt(1)]))
    assert LOOKS["the camp"](desk) == [1]
    take_in(desk, Batch([gym.attempt(2, turn=2)]))
    assert LOOKS["the camp"](desk) == [2]


@pytest.mark.parametrize("times", [1, 10])
def test_what_is_sent_while_somebody_looks_is_seen_by_her_or_by_the_next(desk, monkeypatch, times):
    """Between making the standings and looking at them a batch comes in, once or every time."""
    numbers = iter(range(2, 2 + times))
    catch_up = standing._catch_up_now

    def and_another(desk):
        catch_up(desk)
        number = next(numbers, None)
        if number is not None:
            take_in(desk, Batch([gym.attempt(number, turn=number)]))

    monkeypatch.setattr(standing, "_catch_up_now", and_another)
    take_in(desk, Batch([gym.attempt(1)]))
    (seen,) = LOOKS["the camp"](desk)
    with up_to_date(desk) as connection:
        (one,) = standings.standings_of_camp(connection, gym.CAMP)
    assert seen == one.done == 1 + min(times, 3)


KILLED = """
import os, signal, sys
from tests.desk import gym
from loftbook.desk.opening import open_desk
from loftbook.desk.sync import Batch, take_in
desk = open_desk(sys.argv[1], clock=gym.Clock())
assert take_in(desk, Batch([gym.attempt(1), gym.attempt(2, turn=2)])).answers[1].status == "stored"
os.kill(os.getpid(), signal.SIGKILL)
"""


@pytest.mark.of_a_file
def test_killed_between_the_answer_and_the_standings(tmp_path):
    """The facts were acknowledged, the findings not made: the next program that looks makes them."""
    book = tmp_path / "killed.book"
    gym.gym_desk(book=book).store.close()
    root = Path(__file__).resolve().parents[2]
    ended = subprocess.run(
        [sys.executable, "-c", KILLED, str(book)],
        check=False,
        cwd=root,
        env={**os.environ, "PYTHONPATH": str(root)},
    )
    assert ended.returncode == -signal.SIGKILL
    again = open_desk(book, clock=gym.Clock())
    assert behind(again) == ((gym.CAMP, HER),)
    assert LOOKS["the squad"](again) == [2]
    with up_to_date(again) as connection:
        before = standings.standings_of_camp(connection, gym.CAMP)
    remake_all(again)
    with up_to_date(again) as connection:
        assert standings.standings_of_camp(connection, gym.CAMP) == before
    again.store.close()


def test_a_child_can_be_erased_while_her_standings_are_behind(desk):
    take_in(desk, Batch([gym.attempt(1), gym.attempt(2, athlete=str(gym.CHILDREN[1]))]))
    with desk.store.write() as connection:
        erase_athlete(connection, HER)
    assert behind(desk) == ((gym.CAMP, gym.CHILDREN[1]),)
    assert LOOKS["the camp"](desk) == [1]


def test_nobody_reads_standings_by_another_door():
    """Every module of the desk that asks the store for standings looks through `up_to_date`, or at such an answer."""
    folder = Path(desks.__file__).parent
    asks = ("standings.standings_of", "standings.latest_by", "pairs.pair_counts", "camps.camps_of(")
    asking = [path for path in folder.rglob("*.py") if any(ask in path.read_text("utf-8") for ask in asks)]
    assert len(asking) >= 5
    for path in asking:
        text = path.read_text("utf-8")
        assert "up_to_date(desk)" in text or "athlete_answer(desk" in text, path
