"""Which families a child has never shown; age is beside it and sorts nobody."""

from dataclasses import replace
from datetime import date

import pytest
from tests.insight.cast import LADDER, TUCK, girl, past, rung, stood

from loftbook.insight.families import CONTESTED, Family, families_of, never_shown
from loftbook.insight.standing import State
from loftbook.ladder.rungs import Policy, Skill
from loftbook.ladder.scales import Direction, Shape

ON = date(2022, 4, 12)
BACK, FRONT = Family.BACKWARD_DOUBLE, Family.FORWARD_DOUBLE
BACK_TWIST, FRONT_TWIST = Family.BACKWARD_TWIST, Family.FORWARD_TWIST


def row(*standings, born=date(2010, 4, 12), **facts):
    found = never_shown([girl(1, born=born)], LADDER, history=past(*standings), on=ON, **facts)
    return found[0]


def skill(direction, quarters, *halves):
    return rung("x", "x", skill=Skill(direction, quarters, halves, Shape.TUCK))


@pytest.mark.parametrize(
    ("one", "families"),
    [
        (skill(Direction.BACKWARD, 8, 0, 0), {BACK}),
        (skill(Direction.FORWARD, 8, 0, 1), {FRONT, FRONT_TWIST}),
        (skill(Direction.BACKWARD, 8, 2, 0), {BACK, BACK_TWIST}),
        (skill(Direction.BACKWARD, 4, 2), {BACK_TWIST}),
        (skill(Direction.FORWARD, 4, 1), {FRONT_TWIST}),
        (skill(Direction.FORWARD, 7, 0, 0), set()),  # one and three quarters is no double yet
        (skill(Direction.BACKWARD, 4, 0), set()),
        (skill(Direction.BACKWARD, 0, 2), set()),  # a jump with a full turn is no somersault
        (rung("x", "x", family="forward_twist"), {FRONT_TWIST}),
        (rung("x", "x"), set()),
    ],
)
def test_the_families_of_a_rung(one, families):
    assert families_of(one) == families


@pytest.mark.parametrize("state", [State.ALONE, State.HELPED, State.TRIED])
def test_shown_in_any_way_is_met(state):
    one = row(stood(1, 1, "full_in", state))
    assert (one.met, one.never) == ((BACK, BACK_TWIST), (FRONT, FRONT_TWIST))
    assert one.sentence == "never at a camp of this book: forward double, forward with twist (age 12.0)"


@pytest.mark.parametrize("state", [state for state in State if state.is_blank])
def test_a_blank_is_not_shown(state):
    assert row(stood(1, 1, TUCK, state)).met == ()


def test_what_the_ladder_has_no_rung_for_is_not_spoken_of():
    small = replace(LADDER, rungs=tuple(one for one in LADDER.rungs if one.key in (TUCK, "barani")))
    found = never_shown([girl(1)], small, history=past(), on=ON)[0]
    assert found.never == (BACK, FRONT_TWIST)


def test_a_camp_after_the_day_does_not_count():
    assert row(stood(1, 6, TUCK, State.ALONE)).met == ()
    assert row(stood(1, 3, TUCK, State.ALONE)).met == (BACK,)


def test_all_met():
    rows = [stood(1, 1, key, State.TRIED) for key in ("full_in", "double_front", "barani")]
    assert row(*rows).sentence == "has met every family of this ladder"


def test_no_policy_by_default():
    assert row().policy == ""


@pytest.mark.parametrize(
    ("born", "told"),
    [(date(2010, 4, 12), True), (date(2010, 4, 13), True), (date(2012, 1, 1), False), (None, False)],
)
def test_a_policy_is_the_programme_s_own_and_says_what_it_rests_on(born, told):
    one = row(born=born, policy=Policy(introduce_by_age=12))
    assert bool(one.policy) == told
    if told:
        assert "own policy" in one.policy
        assert CONTESTED in one.policy
    else:
        assert one.policy == ""


def test_nothing_missing_needs_no_policy():
    rows = [stood(1, 1, key, State.TRIED) for key in ("full_in", "double_front", "barani")]
    assert row(*rows, policy=Policy(introduce_by_age=5)).policy == ""


def test_the_order_is_the_one_given_and_no_time_left_is_worked_out():
    girls = [
        girl(1, born=date(2008, 1, 1)),
        girl(2, born=date(2014, 1, 1)),
        girl(3),
        girl(4, born=date(2010, 1, 1)),
    ]
    found = never_shown(girls, LADDER, history=past(), on=ON, policy=Policy(introduce_by_age=12))
    assert [one.athlete for one in found] == [one.id for one in girls]
    assert not any("left" in one.sentence + one.policy for one in found)
    assert "age not known" in found[2].sentence
