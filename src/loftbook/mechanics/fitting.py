"""Does a recorded flight obey physics, and which momentum fits it best?

In the air the mass centre must fall at g and the angular momentum must stay the same. With the shape as measured, three
numbers, the components of that momentum, must then explain the whole turning of the body.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from math import pi

import numpy as np

from loftbook.mechanics.arrays import Array
from loftbook.mechanics.balance import Balance, angle_from, momentum_balance
from loftbook.mechanics.ballistic import GRAVITY
from loftbook.mechanics.flight import Flight, Trust, Verdict
from loftbook.mechanics.motion import Motion
from loftbook.mechanics.rotation import angle_between, inverse, multiply, to_vector
from loftbook.units import degree, degrees_from_radians

# Gates, from what is known of recordings (facts about marker capture, cameras and drawn animation):
# marker capture falls within 2 % of g and keeps |H| within 3 %; several cameras without markers 2 % and 4-10 %;
# drawn animation misses g by a half or more or lets |H| wander by 11-49 %.
FALL_GOOD, FALL_DOUBTFUL = 0.05, 0.10
MOMENTUM_GOOD, MOMENTUM_DOUBTFUL = 0.10, 0.15
TURNING_GOOD, TURNING_DOUBTFUL = 10 * degree, 25 * degree


@dataclass(frozen=True, eq=False)
class Fit:
    """The momentum that explains a recorded flight best, and how well.

    Units
        flight : orientations as measured, momentum as fitted, its error the rms residual
        balance : what was measured; modelled : (N, 4) orientations that the fitted momentum gives
        residuals : (N,) rad; rms, at_landing : rad
        turned_by : rad, angle between fitted and mean measured momentum; grown_by : their relative difference in size
        verdict : whether the recording obeys physics
    """

    flight: Flight
    balance: Balance
    modelled: Array
    residuals: Array
    rms: float
    at_landing: float
    turned_by: float
    grown_by: float
    verdict: Verdict


def fit_flight(motion: Motion, *, cutoff: float = 10.0, trim: int = 0, gravity: float = GRAVITY) -> Fit:
    """The momentum that explains a recorded flight best, and whether the recording obeys physics at all.

    Units
        as `momentum_balance`; gravity : m/s²

    Valid
        a fit over the whole flight. The momentum measured at take-off does not predict a twisting landing: one degree
        of its direction costs 40 to 75° at landing.

    Raises
        RangeError when too little is left of the recording

    Source
        law: H = R (J Omega + h) with J and h as measured; least squares over the three components of H

    Example
        >>> from loftbook.mechanics.motion import motion_of_body
        >>> from loftbook.mechanics import body
        >>> t = np.arange(60) / 60
        >>> hips = np.stack([0 * t, 0 * t, 5 * t - 4.905 * t**2], axis=1)
        >>> q = np.stack([np.cos(3 * t), np.sin(3 * t), 0 * t, 0 * t], axis=1)
        >>> held = motion_of_body(body(1.5, "female", age=12), t, np.zeros((60, 18)), q, hips)
        >>> fit_flight(held, cutoff=20, trim=8).rms < 0.01
        True
    """
    balance = momentum_balance(motion, cutoff=cutoff, trim=trim)
    momentum, modelled = _best_momentum(balance)
    residuals = angle_between(balance.flight.orientations, modelled)
    rms = float(np.sqrt(np.mean(residuals**2)))
    verdict = _verdict(balance, rms, gravity)
    measured = balance.flight.momentum
    return Fit(
        flight=replace(balance.flight, momentum=momentum, error=rms, verdict=verdict),
        balance=balance,
        modelled=modelled,
        residuals=residuals,
        rms=rms,
        at_landing=float(residuals[-1]),
        turned_by=angle_from(momentum, measured),
        grown_by=float(np.linalg.norm(momentum) / np.linalg.norm(measured) - 1),
        verdict=verdict,
    )


def orientations_from(flight: Flight, momentum: Array) -> Array:
    """How the body would have turned with this momentum and the shapes that were measured.

    Units
        momentum : (3,) m²/s in space; returns (N, 4) quaternions at the flight's times

    Valid
        begins at the first measured orientation

    Source
        law: H = R (J Omega + h); fourth-order Runge-Kutta with a step for each instant

    Example
        >>> from loftbook.mechanics import Plan, TakeOff, body, fly, straight
        >>> held = fly(body(1.5, "female", age=12), Plan(straight()), TakeOff((0.9, 0, 0)), duration=1.0)
        >>> again = orientations_from(held, held.momentum)
        >>> bool(angle_between(again[-1], held.orientations[-1]) < 1e-3)
        True
    """
    return _follow(_half_steps(flight), flight, np.asarray(momentum, dtype=float))


def _half_steps(flight: Flight) -> Array:
    """States of the kernel at every half step, (2 N - 1, 21), by cubic splines."""
    from scipy.interpolate import CubicSpline

    n = len(flight.times)
    fine = np.interp(np.arange(2 * n - 1) / 2, np.arange(n), flight.times)
    tensors = CubicSpline(flight.times, flight.tensors)(fine)
    states = np.zeros((len(fine), 21))
    for column, (i, j) in enumerate(((0, 0), (1, 1), (2, 2), (0, 1), (0, 2), (1, 2))):
        states[:, column] = tensors[:, i, j]
        states[:, 15 + column] = np.linalg.inv(tensors)[:, i, j]
    states[:, 6:9] = CubicSpline(flight.times, flight.relative_momenta)(fine)
    return states


def _follow(states: Array, flight: Flight, momentum: Array) -> Array:
    from loftbook.mechanics.stepping import follow

    orientations = np.empty_like(flight.orientations)
    dt = float(flight.times[-1] - flight.times[0]) / (len(flight.times) - 1)
    follow(states, momentum, flight.orientations[0].copy(), dt, orientations)
    return orientations


def _best_momentum(balance: Balance) -> tuple[Array, Array]:
    """Least squares over the momentum from the measured mean and from eight directions about it."""
    from scipy.optimize import least_squares

    flight = balance.flight
    states, mean = _half_steps(flight), flight.momentum
    back = inverse(flight.orientations)

    def misses(momentum: Array) -> Array:
        return to_vector(multiply(back, _follow(states, flight, momentum))).ravel()

    size = max(float(np.linalg.norm(mean)), 1e-6)
    side = np.cross(mean / size, [0.0, 0.0, 1.0] if abs(mean[2]) < 0.9 * size else [1.0, 0.0, 0.0])
    other = np.cross(mean / size, side)
    turns = np.arange(8) * pi / 4
    starts = [mean] + [mean + 0.07 * size * (np.cos(a) * side + np.sin(a) * other) for a in turns]
    found = [least_squares(misses, s, x_scale=0.05 * size, diff_step=np.full(3, 1e-4)) for s in starts]
    best = min(found, key=lambda f: float(f.cost)).x
    return np.asarray(best), _follow(states, flight, best)


def _verdict(balance: Balance, rms: float, gravity: float) -> Verdict:
    """Each law with what was found; the worst decides."""
    off = abs(balance.fall / gravity - 1)
    laws = (
        (
            off,
            FALL_GOOD,
            FALL_DOUBTFUL,
            f"the mass centre falls at {balance.fall:.2f} m/s² (g is {gravity:.2f})",
        ),
        (
            balance.momentum_scatter,
            MOMENTUM_GOOD,
            MOMENTUM_DOUBTFUL,
            f"the angular momentum varies by {100 * balance.momentum_scatter:.1f} %",
        ),
        (
            rms,
            TURNING_GOOD,
            TURNING_DOUBTFUL,
            f"one momentum explains the turning to {degrees_from_radians(rms):.1f}° rms",
        ),
    )
    said = ", ".join(text for *_, text in laws)
    if any(not value <= doubtful for value, _, doubtful, _ in laws):
        return Verdict(Trust.NONE, f"This is no free flight, or was not recorded as one: {said}.")
    if any(value > good for value, good, _, _ in laws):
        return Verdict(
            Trust.DOUBTFUL, f"Nearly a free flight: {said}. Check scale, frame times and tracking."
        )
    return Verdict(Trust.GOOD, f"A free flight: {said}.")
