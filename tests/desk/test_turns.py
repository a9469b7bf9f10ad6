"""A second rater, two corrections, a correction and a withdrawal: kept apart, counted once, settled by a new fact."""

import pytest
from tests.desk import gym

from loftbook.book.turns import counted
from loftbook.desk.answers import athlete_answer, camp_answer
from loftbook.desk.clashes import marking_pairs, open_clashes, settle, settle_aside
from loftbook.desk.standing import remake_all, up_to_date
from loftbook.desk.sync import Batch, take_in
from loftbook.errors import LoftbookError
from loftbook.store import attempts, standings

HER = gym.CHILDREN[0]


@pytest.fixture
def desk():
    desk = gym.gym_desk()
    yield desk
    desk.store.close()


def send(desk, *records):
    answers = take_in(desk, Batch(records)).answers
    assert {answer.status for answer in answers} == {"stored"}, answers


def standing(desk):
    with up_to_date(desk) as connection:
        return next(s for s in standings.standings_of_camp(connection, gym.CAMP) if s.rung == gym.RUNGS[0])


def second(number, **more):
    return gym.attempt(number, second=True, rater="Coach R", **more)


def test_a_turn_that_two_people_marked_counts_once_and_by_the_first(desk):
    send(desk, gym.attempt(1, outcome="tried", help=""), second(2))
    assert (standing(desk).turns, standing(desk).done, standing(desk).state.value) == (1, 0, "tried")
    pair = marking_pairs(desk, gym.CAMP)[0]
    assert (pair.first.outcome.value, pair.second.outcome.value) == ("tried", "did_it")
    assert (pair.first.rater, pair.second.rater) == ("Coach Q", "Coach R")


def test_a_second_mark_counts_while_the_first_has_not_come(desk):
    """The first rater's tablet may come back two days later; until then the turn is not lost."""
    send(desk, second(2))
    assert (standing(desk).turns, standing(desk).done) == (1, 1)
    send(desk, gym.attempt(1, outcome="tried", help=""))
    assert (standing(desk).turns, standing(desk).done) == (1, 0)


def test_two_first_raters_at_two_beds_saw_two_turns(desk):
    send(desk, gym.attempt(1), gym.attempt(2, rater="Coach S"))
    assert standing(desk).turns == 2
    assert marking_pairs(desk) == ()


def test_pairs_that_cannot_be_told_are_none(desk):
    send(desk, gym.attempt(1), gym.attempt(2, rater="Coach S"), second(3))
    assert marking_pairs(desk) == ()
    assert standing(desk).turns == 2


def test_one_person_on_two_devices_is_no_pair(desk):
    send(desk, gym.attempt(1), second(2) | {"rater": "Coach Q"})
    assert marking_pairs(desk) == ()
    assert standing(desk).turns == 1


def test_two_corrections_are_both_kept_and_counted_once_by_the_lesser(desk):
    wrong = gym.attempt(1)
    send(desk, wrong)
    good = gym.attempt(2, replaces=wrong["id"], help="nobody_in")
    less = gym.attempt(3, replaces=wrong["id"], outcome="tried", help="", rater="Coach S")
    send(desk, good, less)
    assert (standing(desk).turns, standing(desk).done) == (1, 0)
    clash = open_clashes(desk, gym.CAMP).disagreements[0]
    assert (clash.kind, len(clash.versions)) == ("two_corrections", 2)
    # One is corrected once more: still the same disagreement, seen over the whole chain.
    send(desk, gym.attempt(4, replaces=good["id"], help="hand_light"))
    assert standing(desk).turns == 1
    clash = open_clashes(desk, gym.CAMP).disagreements[0]
    assert {str(v.id) for v in clash.versions} == {less["id"], str(gym.record_id(4))}
    settle(desk, clash.original.id, keep=gym.record_id(4), by="Head Coach", camp=gym.CAMP)
    assert open_clashes(desk, gym.CAMP).number == 0
    assert (standing(desk).turns, standing(desk).state.value) == (1, "helped")
    with desk.store.read() as connection:
        assert len(attempts.attempts_of_camp(connection, gym.CAMP, all=True)) == 4  # nothing is gone


def test_a_correction_of_what_somebody_else_took_back(desk):
    wrong = gym.attempt(1)
    send(desk, wrong, gym.withdrawal(2, wrong["id"], by="Coach S", reason="wrong child"))
    send(desk, gym.attempt(3, replaces=wrong["id"], outcome="tried", help=""))
    clash = open_clashes(desk, gym.CAMP).disagreements[0]
    assert (clash.kind, clash.taken_back.reason) == ("corrected_and_taken_back", "wrong child")
    settle(desk, clash.original.id, keep=clash.versions[0].id, by="Head Coach", camp=gym.CAMP)
    assert open_clashes(desk, gym.CAMP).number == 0
    assert standing(desk).state.value == "tried"


def test_none_of_the_versions_stands(desk):
    wrong = gym.attempt(1)
    send(desk, wrong, gym.attempt(2, replaces=wrong["id"]), gym.attempt(3, replaces=wrong["id"]))
    made = settle(desk, gym.record_id(1), keep=None, by="Head Coach", camp=gym.CAMP)
    assert len(made) == 2
    with desk.store.read() as connection:
        assert attempts.attempts_of_camp(connection, gym.CAMP) == ()


@pytest.mark.parametrize(
    ("how", "turns", "outcome"), [("leave", 1, "alone"), ("instead", 1, "tried"), ("beside", 2, "alone")]
)
def test_one_number_with_two_contents(desk, how, turns, outcome):
    send(desk, gym.attempt(1))
    take_in(desk, Batch([gym.attempt(1, outcome="tried", help="")]))
    row = open_clashes(desk, gym.CAMP).aside[0].row
    settle_aside(desk, row.seq, how=how, by="Head Coach", camp=gym.CAMP)
    assert (standing(desk).turns, standing(desk).state.value) == (turns, outcome)
    assert open_clashes(desk, gym.CAMP).number == 0
    with pytest.raises(LoftbookError, match="dealt with"):
        settle_aside(desk, row.seq, how=how, by="Head Coach", camp=gym.CAMP)


def test_a_refused_record_that_can_stand_later(desk):
    late = gym.attempt(1, replaces=str(gym.record_id(2)))
    take_in(desk, Batch([late], way="file a.json"))
    row = open_clashes(desk, gym.CAMP).aside[0].row
    with pytest.raises(LoftbookError, match="still cannot stand"):
        settle_aside(desk, row.seq, how="try", by="Head Coach", camp=gym.CAMP)
    send(desk, gym.attempt(2))
    settle_aside(desk, row.seq, how="try", by="Head Coach", camp=gym.CAMP)
    assert standing(desk).turns == 1


def test_findings_made_anew_are_the_same(desk):
    wrong = gym.attempt(1)
    send(desk, wrong, second(2), gym.attempt(3, replaces=wrong["id"]), gym.attempt(4, replaces=wrong["id"]))
    before = standing(desk)
    remake_all(desk)
    assert standing(desk) == before
    assert counted(()) == ()


def test_the_pages_count_each_turn_once(desk):
    send(desk, gym.attempt(1), second(2))
    assert camp_answer(desk, gym.CAMP).turns == 1
    column = athlete_answer(desk, HER).columns[-1]
    assert column.standings[gym.RUNGS[0]].turns == 1
    assert len(column.attempts[gym.RUNGS[0]]) == 2  # both marks can be read
