"""Two people at one bed, and one of them again half a year later: what the desk makes of it."""

from datetime import timedelta

import pytest
from tests.desk import gym

from loftbook.desk.answers import agreement_answer, athlete_answer
from loftbook.desk.sync import Batch, take_in
from loftbook.insight.change_marks import Move
from loftbook.store import attempts

pytestmark = pytest.mark.both_engines

LATER = (gym.STARTS + timedelta(days=200)).isoformat()


@pytest.fixture
def clock():
    return gym.Clock()


@pytest.fixture
def desk(clock):
    desk = gym.gym_desk(clock)
    yield desk
    desk.store.close()


def send(desk, *records):
    answers = take_in(desk, Batch(records)).answers
    assert {answer.status for answer in answers} == {"stored"}, answers


def first(number, **more):
    return gym.attempt(number, athlete=str(gym.CHILDREN[number % 4]), turn=1 + number // 4, **more)


def second(number, **more):
    return first(number, second=True, rater="Coach R", **more) | {"id": str(gym.record_id(1000 + number))}


def remark(number, **more):
    return first(number, second=True, at=LATER, **more) | {"id": str(gym.record_id(2000 + number))}


def test_a_camp_that_one_person_marked_says_how_many_turns_are_wanted(desk):
    send(desk, first(1))
    found = agreement_answer(desk, gym.CAMP)
    # the stated rule: a share of one half known to 10 points either way asks for 93 turns (Wilson)
    assert (found.here.turns, found.here.raters, found.here.criteria["form"].more) == (0, (), 93)


def test_pairs_are_counted_and_no_child_is_named(desk):
    for n in range(12):
        send(desk, first(n, marks={"form": 2}), second(n, marks={"form": 2 if n % 4 else 3}))
    found = agreement_answer(desk, gym.CAMP)
    form = found.here.criteria["form"]
    assert (found.here.turns, found.here.children, found.here.raters) == (12, 4, ("Coach Q", "Coach R"))
    assert (form.turns, form.equal) == (12, 9)
    assert "Given" not in repr(found)
    assert "Family" not in repr(found)


def test_what_cannot_be_paired_is_said(desk):
    send(desk, second(1), first(2), second(2, outcome="declined", help=""))
    found = agreement_answer(desk, gym.CAMP)
    assert (found.here.turns, found.alone, found.unlike) == (1, 1, 1)


def test_a_later_camp_says_nothing_of_an_earlier_one(desk):
    send(desk, first(1), second(1))
    assert agreement_answer(desk, gym.OTHER_CAMP).ever.turns == 0
    assert agreement_answer(desk, gym.CAMP).ever.turns == 1


def test_marking_again_tells_drift_and_adds_no_turn(desk, clock):
    send(desk, *(first(n, marks={"form": 3}) for n in range(12)))
    clock.go(days=201)
    send(desk, *(remark(n, marks={"form": 2}) for n in range(12)))
    found = agreement_answer(desk, gym.CAMP)
    (one,) = found.remarked
    drift = next(d for d in one.drifts if d.scale.key == "form")
    assert (one.rater, one.turns, drift.moved.value, drift.words) == (
        "Coach Q",
        12,
        -1.0,
        "later marks are lower",
    )
    assert found.here.turns == 0
    hers = athlete_answer(desk, gym.CHILDREN[0]).columns[-1].standings["double_tuck"]
    assert hers.turns == 3


def test_a_page_that_was_worked_out_is_worked_out_again_after_a_mark(desk):
    send(desk, first(1), second(1))
    assert agreement_answer(desk, gym.CAMP).here.turns == 1
    send(desk, first(2), second(2))
    assert agreement_answer(desk, gym.CAMP).here.turns == 2


def test_a_level_more_than_last_time_is_no_progress_while_marking_is_not_known(desk):
    before = first(4, marks={"form": 1}) | {"camp": str(gym.OTHER_CAMP), "turn": 1}
    send(desk, before, first(8, marks={"form": 2}))
    (found,) = athlete_answer(desk, gym.CHILDREN[0]).marks
    assert [(m.criterion, m.then, m.now, m.move) for m in found.moves] == [("form", 1, 2, Move.CANNOT_TELL)]


def test_only_turns_with_a_second_mark_are_read(desk):
    send(desk, first(1), first(2), second(2))
    with desk.store.read() as connection:
        assert [a.second for a in attempts.attempts_marked_again(connection)] == [False, True]
