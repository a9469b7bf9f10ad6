"""Plans: smooth curves with true rates, and movements that nobody can make."""

import json
from math import inf, nan, pi

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from loftbook.errors import LoftbookError, PlanError, RangeError
from loftbook.mechanics import Key, Plan, Shape, angles_at, curves, pose, shape_at, straight, tuck
from loftbook.mechanics.body import ANGLE_NAMES
from loftbook.mechanics.plan import plan_as_dict, plan_from_dict

KNEE, ARM = ANGLE_NAMES.index("left_knee"), ANGLE_NAMES.index("left_arm_abduction")


def read(prepared, times, row=0):
    """Values and rates from the compiled reader, (N, 18) each."""
    from loftbook.mechanics.body import body
    from loftbook.mechanics.kernel import read_curves, scratch_for

    scratch = scratch_for(body(1.5, "female", age=12).skeleton)
    values, rates = [], []
    for t in times:
        read_curves(prepared, row, float(t), scratch)
        values.append(scratch.values.copy())
        rates.append(scratch.rates.copy())
    return np.array(values), np.array(rates)


FULL = Plan(
    straight(),
    (
        pose(0.30, tuck(), lead=0.25),
        Key(0.50, {"left_knee": 1.0}),
        Key(0.60, {"left_knee": 0.6}, through=True),
        Key(0.80, {"left_knee": 0.1}),
        Key(0.90, {"left_arm_abduction": 0.5}, lead=0.2),
        pose(1.30, straight(), lead=0.3),
    ),
)


def test_each_key_is_reached_at_its_time():
    values, _ = read(curves(FULL), [0.0, 0.30, 0.50, 0.60, 0.80, 0.90, 1.30, 2.0])
    tucked = tuck().left_knee
    assert values[:, KNEE] == pytest.approx([0, tucked, 1.0, 0.6, 0.1, 0.1, 0, 0], abs=1e-12)
    assert values[[0, 5, 7], ARM] == pytest.approx([pi, 0.5, pi])


def test_a_lead_holds_before_it_moves():
    values, rates = read(curves(FULL), [0.31, 0.45, 0.69, 0.70])
    assert np.ptp(values[:, ARM]) < 1e-12
    assert np.all(rates[:, ARM] == 0)


def test_rates_are_the_derivatives_of_the_values():
    """Law: central differences of the values, step 10 µs."""
    times = np.linspace(0.011, 1.39, 371)
    h = 1e-5
    _, rates = read(curves(FULL), times)
    later, earlier = read(curves(FULL), times + h)[0], read(curves(FULL), times - h)[0]
    assert np.allclose(rates, (later - earlier) / (2 * h), atol=2e-5)


def test_values_and_rates_are_smooth_at_every_key():
    for t in (0.05, 0.30, 0.50, 0.60, 0.80, 0.90, 1.0, 1.3):
        values, rates = read(curves(FULL), [t - 1e-9, t + 1e-9])
        assert np.allclose(values[0], values[1], atol=1e-6)
        assert np.allclose(rates[0], rates[1], atol=1e-5)


def test_through_a_key_it_flows_and_does_not_overshoot():
    values, rates = read(curves(FULL), np.linspace(0.5, 0.8, 301))
    assert rates[100, KNEE] < -1.0, "it is moving when it passes"
    assert np.all(np.diff(values[:, KNEE]) <= 1e-12)


def test_two_readers_of_a_plan_agree():
    """Second way: numpy's polynomials against the compiled reader."""
    times = np.linspace(0, 1.5, 301)
    assert np.allclose(angles_at(FULL, times), read(curves(FULL), times)[0], rtol=0, atol=1e-13)
    assert shape_at(FULL, 0.30).left_knee == pytest.approx(tuck().left_knee)
    with pytest.raises(PlanError, match="seconds"):
        angles_at(FULL, np.array([nan]))


def test_reading_backwards_is_the_same():
    times = np.linspace(0, 1.5, 97)
    forward, backward = read(curves(FULL), times)[0], read(curves(FULL), times[::-1])[0][::-1]
    assert np.array_equal(forward, backward)


@given(
    st.lists(st.floats(0.05, 0.9), min_size=1, max_size=5),
    st.lists(st.floats(-0.2, 2.0), min_size=5, max_size=5),
)
@settings(deadline=None, max_examples=50)
def test_between_two_keys_no_angle_leaves_them(gaps, targets):
    """Rest to rest, a fifth-degree movement stays between its ends."""
    times = np.cumsum(gaps)
    plan = Plan(Shape(), tuple(Key(float(t), {"left_knee": a}) for t, a in zip(times, targets, strict=False)))
    ends = [0.0, *targets[: len(times)]]
    values, _ = read(curves(plan), np.linspace(0, times[-1] + 0.1, 200))
    assert values[:, KNEE].max() <= max(ends) + 1e-9
    assert values[:, KNEE].min() >= min(ends) - 1e-9


def test_variants_move_their_own_keys_only():
    times = np.tile([k.time for k in FULL.keys], (3, 1))
    times[1, 4] += 0.01
    many = curves(FULL, times=times)
    assert np.array_equal(many.knots[0], many.knots[2])
    a, b = read(many, [0.85], 0)[0][0], read(many, [0.85], 1)[0][0]
    assert [n for n, x, y in zip(ANGLE_NAMES, a, b, strict=True) if x != y] == ["left_arm_abduction"]


def test_variants_may_have_other_targets():
    many = curves(FULL, targets={(4, "left_arm_abduction"): np.array([0.4, 0.5])})
    assert read(many, [0.95], 0)[0][0, ARM] == pytest.approx(0.4)
    assert read(many, [0.95], 1)[0][0, ARM] == pytest.approx(0.5)
    with pytest.raises(PlanError, match="target"):
        curves(FULL, targets={(4, "left_knee"): np.array([0.4])})


def test_a_plan_goes_through_json():
    again = plan_from_dict(json.loads(json.dumps(plan_as_dict(FULL))))
    values, _ = read(curves(FULL), np.linspace(0, 1.5, 50))
    assert np.allclose(read(curves(again), np.linspace(0, 1.5, 50))[0], values, atol=1e-12)
    assert [k.lead for k in again.keys] == [k.lead for k in FULL.keys]


@pytest.mark.parametrize("record", [{}, {"start_deg": {}, "keys": [{}]}, {"start_deg": [], "keys": []},
                                    {"start_deg": {}, "keys": [{"time_s": "soon", "angles_deg": {}}]}])  # fmt: skip
def test_a_garbled_plan_is_told(record):
    with pytest.raises(PlanError, match="plan_as_dict"):
        plan_from_dict(record)


@pytest.mark.parametrize(
    ("keys", "said"),
    [
        (lambda: (Key(0.2, {"left_knee": 1.0}), Key(0.1, {"left_knee": 0.0})), "order of time"),
        (lambda: (Key(0.2, {"left_knee": 1.0}), Key(0.2, {"left_knee": 0.0})), "rad/s"),
        (lambda: (Key(0.0, {"left_knee": 1.0}),), "rad/s"),
        (lambda: (Key(0.2, {"left_arm_abduction": 0.0}, lead=0.001),), "more time"),
        (lambda: (Key(-0.2, {"left_knee": 1.0}),), "after take-off"),
        (lambda: (Key(nan, {"left_knee": 1.0}),), "after take-off"),
        (lambda: (Key(inf, {"left_knee": 1.0}),), "after take-off"),
        (lambda: (Key(0.2, {"left_knee": 1.0}, lead=-0.1),), "more than 0"),
        (lambda: (Key(0.2, {}),), "at least one"),
    ],
)
def test_movements_that_nobody_can_make(keys, said):
    with pytest.raises(PlanError, match=said):
        Plan(straight(), keys())


def test_impossible_angles_in_a_key():
    with pytest.raises(RangeError, match="left_knee"):
        Key(0.2, {"left_knee": nan})


def test_variants_that_change_places_are_told():
    times = np.array([[k.time for k in FULL.keys]])
    times[0, 2] = 0.45  # the key at 0.60 s before that at 0.50 s, for the same knee
    with pytest.raises(PlanError, match="left_knee"):
        curves(FULL, times=times)
    with pytest.raises(PlanError, match="column for each key"):
        curves(FULL, times=np.zeros((2, 3)))


@given(st.floats(allow_nan=True), st.floats(allow_nan=True), st.floats(allow_nan=True))
def test_no_number_makes_a_silent_nan(time, angle, lead):
    """Bad input: refused with a sentence, or curves of plain numbers."""
    try:
        prepared = curves(Plan(Shape(), (Key(time, {"left_knee": angle}, lead=lead),)))
    except LoftbookError:
        return
    assert np.all(np.isfinite(prepared.coefficients))
    assert np.all(np.isfinite(prepared.knots))
