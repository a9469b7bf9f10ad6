"""The parabola and the rigid body: what they are held against, and input that cannot be."""

from math import inf, nan, pi, sqrt

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from loftbook.errors import RangeError
from loftbook.mechanics import TakeOff, arc_of_height, arc_of_time
from loftbook.mechanics.ballistic import mass_centre_path
from loftbook.mechanics.rigid import (
    phase_of_period,
    rigid_flight,
    turning_period,
    twists_per_somersault,
    wobble_period,
)
from loftbook.units import degree


@given(st.floats(0.3, 2.5), st.floats(-0.4, 1.5))
def test_time_and_height_are_two_names_for_one_arc(time, drop):
    """Law: there and back."""
    if 9.81 * time / 2 < drop / time + 0.01:
        return
    arc = arc_of_time(time, drop=drop)
    if arc.height + drop <= 1e-6 or 9.81 * time < arc.take_off_speed:
        return
    again = arc_of_height(arc.height, drop=drop)
    assert again.time == pytest.approx(time, rel=1e-9)
    assert again.take_off_speed == pytest.approx(arc.take_off_speed, rel=1e-6)


def test_equal_levels_by_the_textbook():
    """Law: h = g T² / 8 and v = g T / 2."""
    arc = arc_of_time(1.6, travel=0.8)
    assert arc.height == pytest.approx(9.81 * 1.6**2 / 8)
    assert arc.take_off_speed == arc.landing_speed == pytest.approx(9.81 * 0.8)
    assert arc.forward_speed == 0.5


def test_energy_is_kept_between_unequal_levels():
    """Law: v² grows by 2 g d over a drop d."""
    arc = arc_of_time(1.4, drop=0.9)
    assert arc.landing_speed**2 - arc.take_off_speed**2 == pytest.approx(2 * 9.81 * 0.9)
    path = mass_centre_path(arc, np.array([0.0, arc.take_off_speed / 9.81, 1.4]))
    assert path[:, 2] == pytest.approx([0, arc.height, -0.9])


@given(st.floats(0.8, 1.8), st.floats(-0.2, 0.8))
def test_uncertainty_is_the_slope(time, drop):
    """Second way: the difference of two arcs."""
    arc = arc_of_time(time, drop=drop, timing=0.01)
    high, low = (arc_of_time(time + s, drop=drop) for s in (1e-6, -1e-6))
    assert arc.height_uncertainty == pytest.approx(
        0.01 * abs(high.height - low.height) / 2e-6, rel=1e-4, abs=1e-9
    )
    assert arc.speed_uncertainty == pytest.approx(
        0.01 * abs(high.take_off_speed - low.take_off_speed) / 2e-6, rel=1e-4
    )


@pytest.mark.parametrize("time", [0.0, -1.0, nan, inf, 1400.0])
def test_impossible_times(time):
    with pytest.raises(RangeError):
        arc_of_time(time)


@pytest.mark.parametrize(("height", "drop"), [(-1, 0), (nan, 0), (300, 0), (1.0, -1.5), (1.0, nan)])
def test_impossible_heights(height, drop):
    with pytest.raises(RangeError):
        arc_of_height(height, drop=drop)


def test_a_fall_is_no_jump():
    with pytest.raises(RangeError, match="free fall"):
        arc_of_time(0.5, drop=5.0)
    with pytest.raises(RangeError):
        arc_of_time(1.5, drop=nan)


MOMENTS = np.array([0.0077, 0.1053, 0.1105])


@given(st.floats(1, 40))
@settings(deadline=None)
def test_small_wobbles_have_the_period_of_small_wobbles(tilt_deg):
    """Law: near a steady turn about the axis of most inertia the period tends to that of the linear theory."""
    H, I = 0.6, np.array([0.05, 0.07, 0.09])
    lean = 1e-4 * tilt_deg
    energy = H**2 / 2 * (np.cos(lean) ** 2 / I[2] + np.sin(lean) ** 2 / I[1])
    linear = 2 * pi / (H / I[2] * sqrt((I[2] - I[0]) * (I[2] - I[1]) / (I[0] * I[1])))
    assert turning_period(I, momentum=H, energy=energy) == pytest.approx(linear, rel=1e-3)


def test_a_round_body_twists_with_the_formula_of_the_round_body():
    """Law: with equal transverse moments twist period and phase give (I_t / I_l - 1) sin(tilt)."""
    across, along, tilt, H = 0.11, 0.008, 9 * degree, 0.6
    nearly = np.array([along, across * (1 - 1e-9), across * (1 + 1e-9)])
    energy = H**2 / 2 * (np.cos(tilt) ** 2 / across + np.sin(tilt) ** 2 / along)
    period = turning_period(nearly, momentum=H, energy=energy)
    somersaults = H / across * period / (2 * pi)
    formula = twists_per_somersault(transverse=across, longitudinal=along, tilt=tilt)
    assert 1 / somersaults == pytest.approx(formula, rel=1e-6)
    assert phase_of_period(nearly, momentum=H, energy=energy) == pytest.approx(
        2 * pi * somersaults % (2 * pi), abs=1e-5
    )


@pytest.mark.parametrize(
    "moments",
    [np.array([0.1, 0.1, 0.3]), np.array([-0.1, 0.1, 0.1]), np.array([nan, 1, 1]), np.zeros(3), np.ones(2)],
)
def test_moments_that_no_body_has(moments):
    with pytest.raises(RangeError, match="moments"):
        rigid_flight(moments, TakeOff((0.1, 0, 0)), duration=1.0)


def test_an_energy_that_the_momentum_cannot_have():
    for energy in (0.1, 100.0, nan):
        with pytest.raises(RangeError, match="energy"):
            turning_period(MOMENTS, momentum=0.6, energy=energy)
    with pytest.raises(RangeError, match="wobbles"):
        wobble_period(transverse=1.0, longitudinal=1.0, spin=1.0)
    with pytest.raises(RangeError):
        twists_per_somersault(transverse=-1.0, longitudinal=1.0, tilt=0.1)
