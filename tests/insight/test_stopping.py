"""The reminder to stop: short twice in a row (common practice, no source)."""

from dataclasses import replace
from datetime import UTC, datetime, timedelta
from uuid import UUID

from loftbook.book.attempts import Attempt
from loftbook.insight.stopping import short_in_a_row, stop_words
from loftbook.ladder.rungs import Policy
from loftbook.ladder.scales import Outcome, Rotation

START = datetime(2026, 4, 11, 9, tzinfo=UTC)
TURN = Attempt(UUID(int=1), UUID(int=2), UUID(int=3), "double_tuck", Outcome.TRIED, START, "H. Alder", "1")


def turns(*rotations):
    return [
        replace(TURN, id=UUID(int=10 + i), at=START + timedelta(minutes=i), rotation=rotation)
        for i, rotation in enumerate(rotations)
    ]


def test_two_short_in_a_row_are_said_in_any_order_of_arrival():
    found = turns(Rotation.ON, Rotation.SHORT, Rotation.SHORT)
    assert short_in_a_row(reversed(found)) == 2
    assert "no failure" in stop_words(found, Policy())


def test_a_good_turn_ends_the_row():
    assert stop_words(turns(Rotation.SHORT, Rotation.ON, Rotation.SHORT), Policy()) == ""


def test_once_stopped_nothing_more_is_said():
    stopped = replace(TURN, id=UUID(int=99), at=START + timedelta(hours=1), outcome=Outcome.STOPPED)
    assert short_in_a_row([*turns(Rotation.SHORT, Rotation.SHORT), stopped]) == 0


def test_the_programme_chooses_the_number():
    assert stop_words(turns(Rotation.SHORT), Policy(short_landings_before_prompt=1))
    assert not stop_words(turns(*[Rotation.SHORT] * 5), Policy(short_landings_before_prompt=0))
