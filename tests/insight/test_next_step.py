"""The next step's margins against the mechanics that they abbreviate, and what they must never say."""

import pytest

from loftbook.insight.margin import Has, margin, need
from loftbook.insight.measured import Measured, together
from loftbook.insight.next_rungs import doubles, most_seen, next_rungs
from loftbook.insight.next_step import next_step
from loftbook.insight.next_step_told import lever_words
from loftbook.insight.pace import body_shape, hips_for, pace, pace_of_hips
from loftbook.ladder.scales import Shape
from loftbook.ladder.shipped import shipped_ladder
from loftbook.mechanics import Seen, ShapePlan, body, carried_over, enough_for, rotation_budget
from loftbook.units import degrees_from_radians

LADDER = shipped_ladder()
BODIES = [(1.30, 9, 1.25), (1.45, 11, 1.45), (1.62, 15, 1.60)]


@pytest.mark.parametrize("shape", list(Shape))
@pytest.mark.parametrize(("stature", "age", "time"), BODIES)
def test_the_need_is_the_rotation_budget(shape, stature, age, time):
    girl = body(stature, "female", age=age)
    budget = rotation_budget(girl, ShapePlan(body_shape(shape)), flight_time=time)
    # second way: the mechanics' own integral over the whole plan; Simpson's rule is good to a ten-thousandth
    assert pace(shape, age).momentum_for(1.75, time) == pytest.approx(budget.by_stature.middle, rel=1e-4)


@pytest.mark.parametrize(("stature", "age", "time"), BODIES)
def test_carried_over_as_the_mechanics_does(stature, age, time):
    girl = body(stature, "female", age=age)
    seen, wanted = ShapePlan(body_shape(Shape.TUCK)), ShapePlan(body_shape(Shape.OPEN_TUCK))
    theirs = carried_over(girl, Seen(seen, flight_time=time), wanted, flight_time=time)
    ours = margin(Has(age, stature, 0.005, Shape.TUCK, Measured(time, 0.02)), Shape.OPEN_TUCK)
    # second way: mechanics.carried_over
    assert ours.made.middle == pytest.approx(theirs.turns.middle, abs=1e-3)
    # ours is not sure when she opened, nor which table is hers, nor that she turned 1.75 in the first: never narrower
    assert ours.over.most - ours.over.least >= theirs.over.most - theirs.over.least


def test_what_would_be_enough_as_the_mechanics_finds_it():
    girl, known = body(1.45, "female", age=11), pace(Shape.OPEN_TUCK, 11)
    found = enough_for(girl, ShapePlan(body_shape(Shape.OPEN_TUCK)), flight_time=1.45, momentum=0.55)
    momentum = 0.55 / 1.45**2
    # second way: mechanics.enough_for, which looks for the roots; the row of shapes here has steps of 10 degrees
    assert known.time_for(1.75, momentum) == pytest.approx(found.flight_time, abs=1e-3)
    hips = hips_for(1.75, momentum, 1.45, pace_of_hips(11))
    assert hips == pytest.approx(degrees_from_radians(found.hip), abs=1.0)


def test_opening_later_turns_just_round():
    known = pace(Shape.TUCK, 11)
    late = known.later_for(1.75, 0.24, 1.45)
    # law: what was worked out backwards comes out forwards
    assert known.turns(0.24, 1.45, later=late) == pytest.approx(1.75, abs=1e-9)


@pytest.mark.parametrize("measured", [None, Measured(1.42, 0.01), Measured(1.42, 0.01, 0.6, 0.05)])
@pytest.mark.parametrize("seen", [None, Shape.TUCK, Shape.PIKE])
@pytest.mark.parametrize("rung", doubles(LADDER), ids=lambda rung: rung.key)
def test_nothing_without_its_band_and_nothing_promised(measured, seen, rung):
    has = Has(11, 1.45, 0.005, seen, measured)
    step = next_step(rung, has, height_known=True, may_be_filmed=False)
    told = " ".join(
        [step.sentence, *(one.words for one in step.levers), step.hold.words, step.taller, *step.missing]
    )
    for word in ("ready", "cleared", "safe to", " kg of her weight"):
        assert word not in told.lower()
    assert step.needed.least < step.needed.middle < step.needed.most
    if step.margin is None:
        assert "nothing can be said" in step.sentence
    else:
        assert " to " in step.sentence
    filmed = measured is not None and measured.momentum is not None
    assert any("film two attempts from the side" in one for one in step.missing) is not filmed
    assert any("ask for leave" in one for one in step.missing) is not filmed


def test_film_narrows_the_band_of_time_and_is_told():
    guessed, filmed = (
        margin(Has(11, seen=Shape.TUCK, measured=m), Shape.OPEN_TUCK) for m in (None, Measured(1.4, 0.01))
    )
    assert filmed.time.most - filmed.time.least < guessed.time.most - guessed.time.least


def test_more_spin_on_film_never_turns_less():
    # law: the turn is a straight line in momentum
    made = [
        margin(Has(12, measured=Measured(1.4, 0.01, m, 0.05)), Shape.PIKE).made.middle
        for m in (0.4, 0.5, 0.6)
    ]
    assert made[1] - made[0] == pytest.approx(made[2] - made[1], abs=1e-9)
    assert made[0] < made[1]


def test_which_rungs_come_next():
    keys = [rung.key for rung in next_rungs(LADDER, {"double_tuck"})]
    assert keys == ["double_pike", "double_open_tuck"]
    assert [r.key for r in next_rungs(LADDER, {"double_tuck"}, {"double_pike"})] == ["double_open_tuck"]
    assert most_seen(LADDER, {"double_tuck", "double_pike"}).key == "double_pike"
    assert most_seen(LADDER, {"back_tuck"}) is None


def test_the_budget_does_not_ask_for_a_weight_or_change_with_height():
    # law: per kilogram and height squared the need is the same for everybody of one build
    small, tall = need(Has(16, 1.40, 0.005), Shape.TUCK), need(Has(16, 1.70, 0.005), Shape.TUCK)
    assert small.middle == pytest.approx(tall.middle, rel=1e-9)


def test_several_films_are_one_with_their_spread():
    two = together([Measured(1.40, 0.01, 0.55, 0.04), Measured(1.50, 0.01)])
    # definition: mean of both times; standard deviation of two values is their difference over root two
    assert two.flight_time == pytest.approx(1.45)
    assert two.flight_time_off == pytest.approx((0.01**2 + 0.1**2 / 2) ** 0.5)
    assert (two.momentum, two.flights) == (0.55, 2)


def test_a_lever_that_is_enough_only_at_the_kind_end_is_no_number_of_nothing():
    """Words only, layout of our own: what is at or below zero is asked of nobody."""
    assert lever_words("opening later", (0.0, None, None), "{:.2f} s").endswith("band nothing is asked")
    assert lever_words("opening later", (0.05, None, None), "{:.2f} s").endswith("band 0.05 s would")
