"""Flights: symmetries that any flight has, batches, accuracy, and input that cannot be."""

import subprocess
import sys
from math import inf, nan, pi

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from loftbook.errors import LoftbookError, RangeError, ShapeError
from loftbook.mechanics import (
    Arm,
    Key,
    Plan,
    Shape,
    TakeOff,
    Trust,
    body,
    count_turns,
    curves,
    fly,
    fly_many,
    launch_of,
    mode_at,
    pose,
    straight,
    tuck,
)
from loftbook.mechanics.counts import momentum_axes
from loftbook.mechanics.flight import rigid_energy, spins
from loftbook.mechanics.rotation import (
    UPRIGHT,
    angle_between,
    from_vector,
    inverse,
    matrix,
    multiply,
    orientation,
    to_vector,
    unit,
)
from loftbook.units import degree

GIRL = body(1.50, "female", age=12)
BUSY = Plan(
    straight(),
    (
        pose(0.30, tuck(), lead=0.28),
        pose(0.85, straight(), lead=0.30),
        Key(1.05, {"left_arm_abduction": 5 * degree}, lead=0.25),
        Key(1.20, {"right_arm_abduction": 20 * degree}, lead=0.20),
    ),
)
TAKE_OFF = TakeOff((0.55, 0.01, -0.02), orientation(somersault=0.3, tilt=0.02, twist=-0.05))

turns_about = st.tuples(*(st.floats(-3, 3),) * 3).map(np.array)


@given(turns_about)
@settings(deadline=None, max_examples=25)
def test_turning_the_hall_turns_the_flight(vector):
    """Symmetry: space has no preferred direction."""
    turned = from_vector(vector)
    there = TakeOff(matrix(turned) @ np.array(TAKE_OFF.momentum), multiply(turned, TAKE_OFF.orientation))
    one, other = (fly(GIRL, BUSY, t, duration=1.3, steps=100) for t in (TAKE_OFF, there))
    assert float(np.max(angle_between(other.orientations, multiply(turned, one.orientations)))) < 1e-9


def test_the_mirrored_flight_twists_the_other_way():
    """Symmetry: left and right."""
    swap = {"left_arm_abduction": "right_arm_abduction", "right_arm_abduction": "left_arm_abduction"}
    mirrored = Plan(
        BUSY.start,
        tuple(Key(k.time, {swap.get(n, n): a for n, a in k.angles.items()}, lead=k.lead) for k in BUSY.keys),
    )
    x, y, z = TAKE_OFF.momentum
    glass = TakeOff((x, -y, -z), orientation(somersault=0.3, tilt=-0.02, twist=0.05))
    one, other = (
        count_turns(fly(GIRL, p, t, duration=1.3)) for p, t in ((BUSY, TAKE_OFF), (mirrored, glass))
    )
    assert other.twist == pytest.approx(-one.twist, abs=1e-6)
    assert other.tilt == pytest.approx(-one.tilt, abs=1e-6)
    assert other.somersault == pytest.approx(one.somersault, abs=1e-6)
    assert abs(one.twists) > 0.3


@given(st.floats(0.6, 1.6))
@settings(deadline=None, max_examples=15)
def test_twice_as_fast_is_the_same_in_half_the_time(speed):
    """Scaling: time over k, momentum times k, the same path of orientations."""
    quick = Plan(
        BUSY.start, tuple(Key(k.time / speed, k.angles, lead=k.lead and k.lead / speed) for k in BUSY.keys)
    )
    fast = TakeOff(np.array(TAKE_OFF.momentum) * speed, TAKE_OFF.orientation)
    one = fly(GIRL, BUSY, TAKE_OFF, duration=1.3, steps=128)
    other = fly(GIRL, quick, fast, duration=1.3 / speed, steps=128)
    assert float(np.max(angle_between(one.orientations, other.orientations))) < 1e-9


@given(st.floats(1.1, 1.9))
@settings(deadline=None, max_examples=10)
def test_size_alone_changes_nothing_but_momentum(stature):
    """Scaling: lengths times k, momentum per kilogram times k squared."""
    small, tall = body(1.5, "female", age=20), body(stature, "female", age=20)
    k = (stature / 1.5) ** 2
    one = fly(small, BUSY, TAKE_OFF, duration=1.3, steps=128)
    other = fly(
        tall, BUSY, TakeOff(np.array(TAKE_OFF.momentum) * k, TAKE_OFF.orientation), duration=1.3, steps=128
    )
    assert float(np.max(angle_between(one.orientations, other.orientations))) < 1e-9


def test_the_error_falls_with_the_fourth_power_of_the_step():
    exact = fly(GIRL, BUSY, TAKE_OFF, duration=1.3, steps=8320).orientations[-1]
    landings = [
        fly(GIRL, BUSY, TAKE_OFF, duration=1.3, steps=n).orientations[-1] for n in (130, 260, 520)
    ]  # keys fall on steps
    errors = [float(angle_between(q, exact)) for q in landings]
    assert errors[0] / errors[1] > 10
    assert errors[1] / errors[2] > 10


@pytest.mark.parametrize("accuracy", [1.0, 0.1, 0.01, 0.001])
def test_the_stated_error_is_honest(accuracy):
    """The true error stays below the accuracy asked for."""
    exact = fly(GIRL, BUSY, TAKE_OFF, duration=1.3, accuracy=1e-9 * degree)
    found = fly(GIRL, BUSY, TAKE_OFF, duration=1.3, accuracy=accuracy * degree)
    true = float(angle_between(found.orientations[-1], exact.orientations[-1]))
    assert found.verdict.trust == Trust.GOOD
    assert true <= accuracy * degree


def test_too_few_steps_are_doubtful_and_say_so():
    found = fly(GIRL, BUSY, TAKE_OFF, duration=1.3, steps=8)
    assert found.verdict.trust == Trust.DOUBTFUL
    assert "more steps" in found.verdict.sentence


def test_what_does_not_converge_is_a_value_with_a_verdict():
    """An accuracy that rounding forbids: the best there is, and a verdict."""
    found = fly(GIRL, BUSY, TAKE_OFF, duration=1.3, accuracy=0.0)
    assert found.verdict.trust == Trust.DOUBTFUL
    assert np.all(np.isfinite(found.orientations))


def test_no_momentum_no_somersault_but_arms_still_turn_the_body():
    """Law: without momentum a straight body stays; a dropped arm turns it and lifting it again turns it back."""
    still = fly(GIRL, Plan(straight()), TakeOff((0, 0, 0)), duration=1.0)
    assert np.allclose(still.orientations, UPRIGHT)
    there_and_back = Plan(
        straight(),
        (Key(0.3, {"left_arm_abduction": 0.0}, lead=0.25), Key(0.6, {"left_arm_abduction": pi}, lead=0.25)),
    )
    moved = fly(GIRL, there_and_back, TakeOff((0, 0, 0)), duration=0.7, steps=400)
    lean = count_turns(moved, about="pelvis").tilt
    assert np.abs(lean).max() > 3 * degree
    assert lean[-1] == pytest.approx(0, abs=1e-6)


def test_backward_is_positive_and_a_lean_to_the_right_twists_to_the_left():
    """docs/symbols.md: the signs are fixed once."""
    start = orientation(tilt=8 * degree)
    for sense in (1, -1):
        turns = count_turns(fly(GIRL, Plan(straight()), TakeOff((0.8 * sense, 0, 0), start), duration=1.2))
        assert np.sign(turns.somersaults) == sense
        assert np.sign(turns.twists) == sense
    back = fly(GIRL, Plan(straight()), TakeOff((0.8, 0, 0)), duration=0.05)
    head = matrix(back.orientations[-1]) @ [0, 0, 1]
    assert head[1] < 0, "backward: the head goes away from where she faces"


def test_batch_and_single_flight_agree():
    rng = np.random.default_rng(4)
    times = np.array([k.time for k in BUSY.keys]) + rng.normal(0, 0.01, (70, len(BUSY.keys)))
    momenta = np.array(TAKE_OFF.momentum) + rng.normal(0, 0.01, (70, 3))
    start = unit(np.array(TAKE_OFF.orientation) + rng.normal(0, 0.01, (70, 4)))
    many = fly_many(GIRL, curves(BUSY, times=times), launch_of(momenta, 1.3, start=start), steps=128)
    for b in (0, 33, 69):
        moved = Plan(
            BUSY.start, tuple(Key(t, k.angles, lead=k.lead) for t, k in zip(times[b], BUSY.keys, strict=True))
        )
        one = fly(GIRL, moved, TakeOff(momenta[b], start[b]), duration=1.3, steps=128)
        turns = count_turns(one)
        assert float(angle_between(one.orientations[-1], many.orientations[b])) < 1e-12
        # two ways of counting, one compiled and one plain; on the way the compiled one sharpens its axis less
        assert many.twist[b, -1] == pytest.approx(turns.twist[-1], abs=1e-9)
        assert many.somersault[b, -1] == pytest.approx(turns.somersault[-1], abs=1e-9)
        assert many.tilt[b, -1] == pytest.approx(turns.tilt[-1], abs=1e-9)
        assert np.max(np.abs(many.twist[b] - turns.twist)) < 2 * degree


def test_a_batch_does_not_depend_on_its_threads():
    momenta = np.tile(TAKE_OFF.momentum, (130, 1)) * np.linspace(0.9, 1.1, 130)[:, None]
    one, three = (fly_many(GIRL, curves(BUSY), launch_of(momenta, 1.3), workers=n) for n in (1, 3))
    assert np.array_equal(one.orientations, three.orientations)
    assert np.array_equal(one.twist, three.twist)
    assert one.error == three.error


def test_each_flight_of_a_batch_may_last_its_own_time():
    many = fly_many(GIRL, curves(BUSY), launch_of(np.array([TAKE_OFF.momentum]), np.array([1.0, 1.3])))
    assert many.somersault[1, -1] > many.somersault[0, -1]


def test_mismatched_batches_are_told():
    with pytest.raises(ShapeError, match="momenta"):
        fly_many(GIRL, curves(BUSY), launch_of(np.zeros((3, 3)), np.array([1.0, 1.1])))
    with pytest.raises(ShapeError, match="right, forward, up"):
        launch_of(np.zeros((3, 2)), 1.0)
    with pytest.raises(ShapeError, match="w x y z"):
        launch_of(np.zeros((3, 3)), 1.0, start=np.zeros(3))


@pytest.mark.parametrize("duration", [-1.0, 0.0, nan, inf, 1400.0])
def test_impossible_durations(duration):
    with pytest.raises(RangeError, match="seconds"):
        fly(GIRL, BUSY, TAKE_OFF, duration=duration)


@pytest.mark.parametrize("momentum", [(nan, 0, 0), (inf, 0, 0), (48.0, 0, 0)])
def test_impossible_momenta(momentum):
    with pytest.raises(RangeError, match="mass"):
        fly(GIRL, BUSY, TakeOff(momentum), duration=1.0)


def test_no_rotation_is_no_orientation():
    with pytest.raises(RangeError, match="upright"):
        fly(GIRL, BUSY, TakeOff((0.5, 0, 0), (0, 0, 0, 0)), duration=1.0)


@given(*(st.floats(allow_nan=True, allow_infinity=True),) * 3)
@settings(deadline=None, max_examples=80)
def test_no_number_makes_a_silent_nan(momentum, duration, tilt):
    """Bad input: an error that teaches, or a value whose verdict is good or doubtful."""
    try:
        start = TakeOff((momentum, 0, 0), orientation(tilt=tilt))
        found = fly(GIRL, Plan(straight()), start, duration=duration, steps=64)
    except LoftbookError:
        return
    assert np.all(np.isfinite(found.orientations))
    assert np.isfinite(found.error)


def test_energy_of_a_held_shape_is_constant_and_spin_is_momentum_over_inertia():
    held = fly(GIRL, Plan(straight()), TakeOff((0.8, 0, 0)), duration=1.0)
    assert np.ptp(rigid_energy(held)) < 1e-9
    assert spins(held)[:, 0] == pytest.approx(0.8 / held.tensors[0, 0, 0])


def test_mode_wants_a_time_in_the_flight():
    held = fly(GIRL, Plan(straight()), TakeOff((0.8, 0, 0)), duration=1.0)
    with pytest.raises(RangeError, match="lasts"):
        mode_at(held, 1.5)
    leaning = fly(GIRL, Plan(straight()), TakeOff((0.8, 0, 0), orientation(tilt=1 * degree)), duration=1.0)
    assert mode_at(leaning, 0.5) == "twisting", "straight: the left-right axis is the middle one"


def test_the_frame_of_counting_follows_the_body_not_the_hall():
    """Facing the other way, a backward somersault still counts backward."""
    faced = TakeOff((-0.8, 0, 0), orientation(twist=pi))
    assert count_turns(fly(GIRL, Plan(straight()), faced, duration=1.0)).somersaults > 0.5
    assert np.allclose(momentum_axes(np.zeros(3), right=np.array([1.0, 0, 0])), np.eye(3))


@given(turns_about, turns_about)
@settings(deadline=None)
def test_quaternions_turn_as_scipy_says(a, b):
    """Second way: scipy's rotations."""
    from scipy.spatial.transform import Rotation

    ours = multiply(from_vector(a), from_vector(b))
    theirs = Rotation.from_rotvec(a) * Rotation.from_rotvec(b)
    assert np.allclose(matrix(ours), theirs.as_matrix(), atol=1e-12)
    assert np.allclose(matrix(from_vector(to_vector(ours))), theirs.as_matrix(), atol=1e-9)
    assert np.allclose(multiply(ours, inverse(ours)), UPRIGHT)


@given(st.floats(-3, 3), st.floats(-1.5, 1.5), st.floats(-3, 3))
@settings(deadline=None)
def test_somersault_tilt_twist_there_and_back(s, t, w):
    start = orientation(somersault=s, tilt=t, twist=w)
    held = fly(GIRL, Plan(Shape()), TakeOff((0.5, 0, 0), start), duration=0.01, steps=2)
    found = count_turns(held, about="pelvis")
    if (
        matrix(start)[0, 0] > 0
    ):  # else her right side points against the momentum, and the flight is a forward one
        assert (found.somersault[0], found.tilt[0], found.twist[0]) == pytest.approx((s, t, w), abs=1e-9)


def test_importing_mechanics_compiles_nothing_and_loads_no_numba():
    """The import must stay light: numba and scipy come with the first flight."""
    code = "import sys, loftbook.mechanics; print('numba' in sys.modules, 'scipy' in sys.modules)"
    told = subprocess.run([sys.executable, "-c", code], check=True, capture_output=True, text=True)
    assert told.stdout.split() == ["False", "False"]


def test_arms_are_a_pair():
    assert straight(arms=Arm()).left_arm_abduction == straight(arms=Arm()).right_arm_abduction == 0
