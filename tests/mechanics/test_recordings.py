"""Recorded movements: a flight of our own must be found again, and what is no flight must be told."""

from dataclasses import replace
from math import nan

import numpy as np
import pytest

from loftbook.errors import RangeError, ShapeError
from loftbook.mechanics import (
    Key,
    Plan,
    TakeOff,
    Trust,
    body,
    count_turns,
    fit_flight,
    fly,
    motion_of_body,
    pose,
    straight,
    tuck,
)
from loftbook.mechanics.balance import momentum_balance
from loftbook.mechanics.fitting import orientations_from
from loftbook.mechanics.motion import smoothed, without_flips
from loftbook.mechanics.plan import curves
from loftbook.mechanics.rotation import angle_between, matrix
from loftbook.units import degree

GIRL = body(1.50, "female", age=12)
PLAN = Plan(
    straight(),
    (
        pose(0.35, tuck(), lead=0.30),
        pose(1.0, straight(), lead=0.35),
        Key(1.2, {"left_arm_abduction": 0.3}, lead=0.3),
    ),
)
MOMENTUM = (0.52, 0.02, -0.01)
STEPS = 300


def filmed(gravity=9.81, noise=0.0):
    """Our own flight as a perfect or a shaky recording at 200 Hz."""
    from loftbook.mechanics.kernel import read_curves, scratch_for

    flight = fly(GIRL, PLAN, TakeOff(MOMENTUM), duration=1.5, steps=STEPS)
    scratch, angles = scratch_for(GIRL.skeleton), []
    for t in flight.times:
        read_curves(curves(PLAN), 0, float(t), scratch)
        angles.append(scratch.values.copy())
    middle = np.stack(
        [0 * flight.times, 0.3 * flight.times, 7.3 * flight.times - gravity * flight.times**2 / 2], 1
    )
    hips = middle - np.einsum("nij,nj->ni", matrix(flight.orientations), flight.mass_centres)
    motion = motion_of_body(GIRL, flight.times, np.array(angles), flight.orientations, hips)
    shaky = np.random.default_rng(3).normal(0, 1, motion.centres.shape) * noise
    return flight, replace(motion, centres=motion.centres + shaky)


def test_our_own_flight_is_found_again():
    """Round trip: momentum to half a per cent, turning to a degree; the filter rounds the corners."""
    flight, motion = filmed()
    fit = fit_flight(motion, cutoff=20, trim=12)
    assert fit.verdict.trust == Trust.GOOD
    assert fit.flight.momentum == pytest.approx(np.array(MOMENTUM), abs=0.003)
    assert fit.rms < 1.0 * degree
    assert fit.balance.fall == pytest.approx(9.81, rel=0.002)
    assert fit.balance.momentum_scatter < 0.01
    assert fit.balance.sideways < 0.01
    assert fit.flight.longitudinal_uncertainty == GIRL.longitudinal_uncertainty, (
        "film of a modelled body carries it on"
    )
    inside = slice(12, STEPS + 1 - 12)
    assert np.max(angle_between(fit.flight.orientations, flight.orientations[inside])) < 1.0 * degree
    turned = np.diff(count_turns(flight).somersault[[12, STEPS - 12]])[0]
    assert count_turns(fit.flight).somersaults * 2 * np.pi == pytest.approx(turned, abs=0.03)


def test_a_centimetre_of_shake_still_fits():
    _, motion = filmed(noise=0.01)
    fit = fit_flight(motion, cutoff=10, trim=15)
    assert fit.verdict.trust == Trust.GOOD
    assert fit.flight.momentum[0] == pytest.approx(MOMENTUM[0], rel=0.05)


@pytest.mark.parametrize(
    ("gravity", "trust"), [(9.81, "good"), (9.1, "doubtful"), (7.0, "none"), (14.0, "none"), (0.0, "none")]
)
def test_gravity_is_the_ruler(gravity, trust):
    _, motion = filmed(gravity=gravity)
    fit = fit_flight(motion, cutoff=20, trim=12)
    assert fit.verdict.trust == trust
    assert f"{gravity:.2f}" in fit.verdict.sentence


def test_a_body_that_starts_to_turn_by_itself_is_told():
    """Momentum from nowhere: the same shapes, turning that speeds up."""
    _, motion = filmed()
    from loftbook.checks.recordings import eased

    fit = fit_flight(eased(motion), cutoff=20, trim=12)
    assert fit.verdict.trust == Trust.NONE
    assert "no free flight" in fit.verdict.sentence


def test_the_measured_momentum_replayed_is_the_flight():
    flight, _ = filmed()
    again = orientations_from(flight, flight.momentum)
    assert np.max(angle_between(again, flight.orientations)) < 0.05 * degree


# ---- bad input ----


def test_gaps_uneven_times_and_wrong_shapes_are_told():
    _, motion = filmed()
    holed = motion.centres.copy()
    holed[40, 3] = nan
    with pytest.raises(RangeError, match="gaps"):
        replace(motion, centres=holed)
    uneven = motion.times.copy()
    uneven[50:] += 0.02
    with pytest.raises(RangeError, match="even"):
        replace(motion, times=uneven)
    with pytest.raises(RangeError, match="even"):
        replace(motion, times=motion.times[::-1])
    with pytest.raises(ShapeError, match="instants come first"):
        replace(motion, centres=motion.centres.transpose(1, 0, 2))
    with pytest.raises(RangeError, match="whole body"):
        replace(motion, fractions=motion.fractions * 70)
    with pytest.raises(ShapeError, match="same number"):
        motion_of_body(GIRL, motion.times, np.zeros((3, 18)), np.zeros((3, 4)), np.zeros((3, 3)))


def test_too_short_and_too_coarse_are_told():
    _, motion = filmed()
    with pytest.raises(RangeError, match="trim less"):
        momentum_balance(motion, trim=148)
    with pytest.raises(RangeError, match="half the sampling rate"):
        smoothed(motion, cutoff=150)
    few = {f: getattr(motion, f)[:12] for f in ("times", "centres", "orientations")}
    with pytest.raises(RangeError, match="20 or more"):
        smoothed(replace(motion, **few), cutoff=10)


def test_signs_of_quaternions_do_not_matter():
    _, motion = filmed()
    signs = np.where(np.random.default_rng(1).random(motion.orientations.shape[:2]) < 0.5, -1.0, 1.0)
    flipped = replace(motion, orientations=motion.orientations * signs[..., None])
    one, other = (fit_flight(m, cutoff=20, trim=12) for m in (motion, flipped))
    assert other.flight.momentum == pytest.approx(one.flight.momentum, abs=1e-9)
    assert np.all(np.sum(np.diff(without_flips(flipped.orientations), axis=0) ** 2, axis=-1) < 0.1)
