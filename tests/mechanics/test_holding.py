"""What holding a shape takes: laws that the loads must keep, and words that they must not say."""

from math import nan

import numpy as np
import pytest

from loftbook.errors import LoftbookError, PlanError, RangeError
from loftbook.mechanics import (
    ShapePlan,
    TakeOff,
    body,
    compare_holding,
    fly,
    holding,
    holding_at,
    open_tuck,
    pike,
    rotation_budget,
    straight,
    tuck,
)
from loftbook.mechanics.ballistic import GRAVITY
from loftbook.mechanics.inertia import shape_in_motion
from loftbook.mechanics.moments import ABOVE_THE_WAIST, LEGS, moments_along, moments_held
from loftbook.mechanics.plan import Plan
from loftbook.mechanics.shape import ARMS_DOWN
from loftbook.mechanics.shape_plan import plan_of

GIRL = body(1.45, "female", age=11)
TIME, MOMENTUM = 1.5, 0.55


def test_load_goes_with_the_square_of_the_spin_and_with_stature():
    """Law: m r w². In body weight times stature a body of the same make carries h w² / g."""
    one, twice = (holding_at(GIRL, tuck(), spin=w) for w in (8.0, 16.0))
    assert twice.hip == pytest.approx(4 * one.hip)
    assert twice.hand == pytest.approx(4 * one.hand)
    assert holding_at(GIRL, tuck(), spin=-8.0).hip == pytest.approx(one.hip)
    small, tall = (holding_at(body(h, "female", age=16), tuck(), spin=8.0) for h in (1.4, 1.68))
    assert tall.hip / small.hip == pytest.approx(1.2, rel=1e-9)


def test_legs_and_the_rest_pull_at_each_other_equally():
    """Law (Newton's third): forces on all parts sum to zero, so do moments about either hip."""
    state = shape_in_motion(GIRL, open_tuck())
    skeleton = GIRL.skeleton
    places = state.joints + np.einsum("sij,sj->si", state.rotations, skeleton.centres) - state.mass_centre
    force = -(9.0**2) * skeleton.fractions[:, None] * places * np.array([0.0, 1.0, 1.0])
    about = state.joints[10] - state.mass_centre
    assert force.sum(axis=0) == pytest.approx([0, 0, 0], abs=1e-12)
    assert np.cross(places - about, force).sum(axis=0)[0] == pytest.approx(0.0, abs=1e-12)
    legs = LEGS["left"] + LEGS["right"]
    on_legs = np.cross(places[legs] - about, force[legs]).sum(axis=0)[0]
    assert moments_held(GIRL, open_tuck(), 9.0)[0] == pytest.approx(on_legs)


def test_legs_trunk_and_pelvis_are_the_whole_body():
    assert len(set(LEGS["left"]) | set(LEGS["right"]) | set(ABOVE_THE_WAIST)) == 15


def test_while_a_shape_is_held_the_flight_loads_it_as_a_steady_spin_does():
    """Second method: joint moments along a flight against the steady formula."""
    found = holding(GIRL, ShapePlan(tuck()), flight_time=TIME, momentum=MOMENTUM)
    steady = holding_at(GIRL, tuck(), spin=found.held_spin)
    assert found.hip.held == pytest.approx(steady.hip, rel=1e-5)
    assert found.waist.held == pytest.approx(steady.waist, rel=1e-5)
    assert found.hand.held == pytest.approx(steady.hand, rel=1e-5)


def test_power_of_the_joints_is_the_change_of_energy():
    """Law: what hips and waist do with their moments is what the turning gains, when nothing else moves."""
    bent_hips = ShapePlan(pike(trunk=0.0, arms=ARMS_DOWN), start=straight(arms=ARMS_DOWN))
    plan = plan_of(bent_hips, TIME)
    flight = fly(GIRL, plan, TakeOff((MOMENTUM, 0, 0)), duration=TIME, steps=2048)
    moments = moments_along(GIRL, plan, flight)
    hips = (moments.left_hip + moments.right_hip)[:, 0]
    held = int(np.searchsorted(flight.times, bent_hips.closing[1] + 0.01))
    angle = np.interp(flight.times, *_hip_course(plan, flight.times))
    work = np.trapezoid(hips[:held], angle[:held])
    spin_energy = [0.5 * MOMENTUM**2 / flight.tensors[n, 0, 0] for n in (0, held)]
    assert work == pytest.approx(spin_energy[1] - spin_energy[0], rel=1e-4)


def _hip_course(plan, times):
    from loftbook.checks.engines import hinges_at
    from loftbook.mechanics.body import ANGLE_NAMES
    from loftbook.mechanics.plan import curves

    angles, _, _ = hinges_at(GIRL.skeleton, curves(plan), times)
    hinge = list(GIRL.skeleton.turn_angle).index(ANGLE_NAMES.index("left_hip_flexion"))
    return times, angles[:, hinge]


def test_the_course_is_given_and_its_parts_agree():
    load = holding(GIRL, ShapePlan(open_tuck()), flight_time=TIME, momentum=MOMENTUM).hip
    assert load.peak == load.course.max()
    assert load.times[int(np.argmax(load.course))] == load.peak_time
    assert load.mean == pytest.approx(np.trapezoid(load.course, load.times) / TIME)
    # the closing part alone is at least the whole
    assert load.impulse >= load.mean * TIME
    assert load.peak > load.held > load.mean > 0


def test_a_straight_body_asks_hardly_anything_and_no_hands():
    still = straight(arms=ARMS_DOWN)
    shapes = ShapePlan(still, start=still, landing=still)
    found = holding(GIRL, shapes, flight_time=TIME, momentum=0.9)
    assert abs(found.hip.held) < 0.002
    assert found.hand is None


def test_open_tuck_against_tuck_at_one_momentum_and_at_what_each_needs():
    shapes = {name: ShapePlan(s) for name, s in (("open", open_tuck()), ("tuck", tuck()))}
    same = {n: holding(GIRL, s, flight_time=TIME, momentum=MOMENTUM) for n, s in shapes.items()}
    # law: at one momentum the open shape spins slower, which outweighs its longer lever
    assert compare_holding(same["open"], same["tuck"]).hip_held < 1
    asked = {
        n: holding(
            GIRL,
            s,
            flight_time=TIME,
            momentum=rotation_budget(GIRL, s, flight_time=TIME).momentum.middle,
        )
        for n, s in shapes.items()
    }
    assert compare_holding(asked["open"], asked["tuck"]).hip_held > 1
    assert compare_holding(asked["tuck"], asked["tuck"]).waist_held == 1


def test_it_says_what_it_cannot_say():
    found = holding(GIRL, ShapePlan(tuck()), flight_time=TIME, momentum=MOMENTUM)
    for note in (found.note, holding_at(GIRL, tuck(), spin=9.0).note, compare_holding(found, found).note):
        assert note.startswith("No norms")
        assert "qualified person" in note
        assert not {"strong", "weak", "able", "ready", "safe"} & set(note.lower().replace(".", "").split())


def test_the_pull_of_the_hands_does_the_work_of_the_hips():
    """Law: twice the pull times its lever is the hips' moment; the lever of a tuck is shorter than the thigh."""
    found = holding_at(GIRL, tuck(), spin=9.0)
    lever = found.hip * GIRL.stature / (2 * found.hand)
    assert 0.08 * GIRL.stature < lever < GIRL.lengths["thigh"]
    assert moments_held(GIRL, tuck(), 9.0)[0] == pytest.approx(found.hip * GRAVITY * GIRL.stature)


@pytest.mark.parametrize("spin", [nan, 500.0])
def test_a_spin_that_nobody_has(spin):
    with pytest.raises(RangeError, match="one turn a second"):
        holding_at(GIRL, tuck(), spin=spin)


def test_bad_flights_teach():
    with pytest.raises(PlanError, match="at least"):
        holding(GIRL, ShapePlan(tuck()), flight_time=0.4, momentum=0.5)
    with pytest.raises(RangeError, match="divide the momentum"):
        holding(GIRL, ShapePlan(tuck()), flight_time=1.4, momentum=nan)
    still = straight(arms=ARMS_DOWN)
    flat = holding(GIRL, ShapePlan(still, start=still, landing=still), flight_time=TIME, momentum=0.9)
    with pytest.raises(LoftbookError, match="flexed shape"):
        compare_holding(flat, flat)


def test_a_plan_without_any_movement_is_loaded_steadily():
    plan = Plan(tuck())
    flight = fly(GIRL, plan, TakeOff((0.5, 0, 0)), duration=1.0)
    hips = moments_along(GIRL, plan, flight).left_hip[:, 0]
    assert np.ptp(hips) < 1e-6
