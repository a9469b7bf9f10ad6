"""Bodies that keep their shape, against the closed forms of two centuries."""

from __future__ import annotations

from math import cos, sin

import numpy as np

from loftbook.checks.places import authority
from loftbook.checks.registry import Finding, check
from loftbook.mechanics.arrays import Array
from loftbook.mechanics.body import body
from loftbook.mechanics.counts import count_turns, mode_of
from loftbook.mechanics.flight import Flight, spins
from loftbook.mechanics.inertia import inertia
from loftbook.mechanics.multibody import TakeOff
from loftbook.mechanics.named_shapes import straight
from loftbook.mechanics.rigid import (
    phase_of_period,
    rigid_flight,
    turning_period,
    twists_per_somersault,
    wobble_period,
)
from loftbook.mechanics.rotation import from_vector, inverse, matrix, multiply, orientation, to_vector
from loftbook.units import degree, degrees_from_radians, turn

# per kilogram of body mass, m²; like a straight body and like a half-open tuck. Any other numbers would do.
LEAN, ROUND = np.array([0.1105, 0.1053, 0.00767]), np.array([0.0651, 0.0586, 0.0233])
MOMENTUM = 0.6  # m²/s
TIGHT = 1e-7  # rad, accuracy asked of the integrator


def leaning(moments: Array, tilt: float) -> tuple[TakeOff, float, float]:
    """A take-off with the long axis leaning out of the somersault's plane, its energy and its period."""
    take_off = TakeOff((MOMENTUM, 0, 0), orientation(tilt=tilt))
    into_body = MOMENTUM * np.array([cos(tilt), 0.0, sin(tilt)])
    energy = float(np.sum(into_body**2 / moments) / 2)
    return take_off, energy, turning_period(np.sort(moments), momentum=MOMENTUM, energy=energy)


def momentum_in_body(flight: Flight) -> Array:
    """The momentum as the body sees it, (N, 3)."""
    return np.asarray(np.einsum("nji,j->ni", matrix(flight.orientations), flight.momentum))


@check(
    name="A symmetric top turns as Euler solved it",
    kind="law",
    source="Euler's symmetric top: precession H / I_t about H, spin (1/I_l - 1/I_t) H sin(tilt) about the axis",
    expected="the closed form at every instant of 1.5 s",
    tolerance="0.001°: a hundredth of what any camera can see",
)
def symmetric_top() -> Finding:
    """The whole orientation, not only a rate, against the closed form."""
    across, along, tilt = 0.11, 0.008, 9 * degree
    flight = rigid_flight(
        np.array([across, across, along]),
        TakeOff((MOMENTUM, 0, 0), orientation(tilt=tilt)),
        duration=1.5,
        accuracy=TIGHT,
    )
    t = flight.times[:, None]
    precession = from_vector(t * np.array([MOMENTUM / across, 0, 0]))
    spin = from_vector(t * np.array([0, 0, (1 / along - 1 / across) * MOMENTUM * sin(tilt)]))
    exact = multiply(multiply(precession, orientation(tilt=tilt)), spin)
    worst = float(np.max(np.linalg.norm(to_vector(multiply(inverse(exact), flight.orientations)), axis=1)))
    return Finding(f"{degrees_from_radians(worst):.1e}° at most", worst < 0.001 * degree)


@check(
    name="A leaning straight body twists with the period of Euler's top",
    kind="law",
    source="Euler's top with three different moments; Landau and Lifshitz, Mechanics, §37 (from memory): 4 K(k) / rate",
    expected="after one period the momentum is back where it was in the body, and not before",
    tolerance="1e-6 of the momentum",
)
def twisting_period() -> Finding:
    """Twisting mode: the momentum circles the axis of least inertia."""
    return _period(LEAN, 10 * degree, "twisting")


@check(
    name="A leaning open body wobbles with the period of Euler's top",
    kind="law",
    source="Euler's top with three different moments; Landau and Lifshitz, Mechanics, §37 (from memory): 4 K(k) / rate",
    expected="after one period the momentum is back where it was in the body, and not before",
    tolerance="1e-6 of the momentum",
)
def wobbling_period() -> Finding:
    """Wobbling mode: the momentum circles the axis of most inertia."""
    return _period(ROUND, 8 * degree, "wobbling")


def _period(moments: Array, tilt: float, mode: str) -> Finding:
    take_off, energy, period = leaning(moments, tilt)
    found = mode_of(energy, np.sort(moments), np.array([MOMENTUM, 0, 0]))
    flight = rigid_flight(moments, take_off, duration=period, accuracy=TIGHT)
    seen = momentum_in_body(flight)
    away = np.linalg.norm(seen - seen[0], axis=1) / MOMENTUM
    inner = away[len(away) // 8 : -len(away) // 8]
    return Finding(
        f"period {period:.5f} s, {found}; {away[-1]:.1e} of H from closing, at least {inner.min():.2f} in between",
        bool(found == mode and away[-1] < 1e-6 and inner.min() > 0.05),
    )


@check(
    name="A full twist leaves the somersault where Montgomery says",
    kind="law",
    source="Montgomery (1991), How much does the rigid body rotate?, Am J Phys 59:394-398 (from memory): 2ET/H and the "
    "solid angle that H encloses in the body",
    expected="the angle about H after one period, twisting",
    tolerance="0.001°",
)
def twisting_phase() -> Finding:
    """The geometric phase in the twisting mode."""
    return _phase(LEAN, 10 * degree)


@check(
    name="A full wobble leaves the somersault where Montgomery says",
    kind="law",
    source="Montgomery (1991), How much does the rigid body rotate?, Am J Phys 59:394-398 (from memory): 2ET/H and the "
    "solid angle that H encloses in the body",
    expected="the angle about H after one period, wobbling",
    tolerance="0.001°",
)
def wobbling_phase() -> Finding:
    """The geometric phase in the wobbling mode."""
    return _phase(ROUND, 8 * degree)


def _phase(moments: Array, tilt: float) -> Finding:
    take_off, energy, period = leaning(moments, tilt)
    expected = phase_of_period(np.sort(moments), momentum=MOMENTUM, energy=energy)
    flight = rigid_flight(moments, take_off, duration=period, accuracy=TIGHT)
    turned = to_vector(multiply(flight.orientations[-1], inverse(flight.orientations[0])))
    back = from_vector(np.array([-expected, 0.0, 0.0]))
    off = float(np.linalg.norm(to_vector(multiply(back, from_vector(turned)))))
    return Finding(
        f"{degrees_from_radians(expected):.4f}° by formula, off by {degrees_from_radians(off):.1e}°",
        off < 0.001 * degree,
    )


@check(
    name="A rigid Earth wobbles once in 305 days",
    kind="published",
    source="O. Portilho, arXiv:0809.4506, section I (305 days); "
    "(C - A)/C from IERS Conventions (2010), table 1.1, from memory",
    expected="305 days",
    tolerance="1 day: the source rounds to whole days",
)
def earth() -> Finding:
    """Frame, sign and integrator with a body that nobody can tune; its day is made a hundredth of a second."""
    told = authority("earth")["wobble"]
    H, day = told["dynamical_ellipticity"], 0.01
    moments, spin = np.array([1 - H, 1 - H, 1.0]), turn / day
    axis = from_vector(np.array([0.0, 1e-3, 0.0]))
    take_off = TakeOff((0, 0, spin / 1000), axis)
    flight = rigid_flight(moments / 1000, take_off, duration=3.3, steps=16384)
    rate = spins(flight)
    angle = np.unwrap(np.arctan2(rate[:, 1], rate[:, 0]))
    period = turn * (flight.times[-1] - flight.times[0]) / abs(angle[-1] - angle[0]) / day
    formula = wobble_period(transverse=1 - H, longitudinal=1.0, spin=spin) / day
    return Finding(
        f"{period:.1f} days flown, {formula:.1f} by formula", abs(period - told["rigid_period_days"]) < 1.0
    )


@check(
    name="Twists per somersault of a round rigid body",
    kind="law",
    source="symmetric top; Yeadon (1993), from memory: (I_t / I_l - 1) sin(tilt)",
    expected="the formula, for tilts of 2 to 15°",
    tolerance="0.001 twists",
)
def twist_formula() -> Finding:
    """Counts of a flight against the formula."""
    across, along, worst = 0.11, 0.008, 0.0
    for tilt in np.array([2.0, 5.0, 10.0, 15.0]) * degree:
        take_off = TakeOff((MOMENTUM, 0, 0), orientation(tilt=tilt))
        turns = count_turns(
            rigid_flight(np.array([across, across, along]), take_off, duration=1.5, accuracy=TIGHT)
        )
        said = twists_per_somersault(transverse=across, longitudinal=along, tilt=float(tilt))
        worst = max(worst, abs(turns.twists / turns.somersaults - said))
    return Finding(f"off by {worst:.1e} twists at most", worst < 0.001)


@check(
    name="Twists per somersault of a body with three different moments",
    kind="law",
    source="Mikl and Rye (2016), Hum Mov Sci 45:23-39 (abstract): unequal transverse moments change the somersault of "
    "each half twist; here by Euler's equations for the girl's own three moments",
    expected="twists in one somersault as the closed forms of Euler's top give, for a girl of 1.45 m leaning 9°",
    tolerance="0.002 twists",
)
def unequal_moments() -> Finding:
    """Period and phase together give the twist of each somersault of a body with three different moments."""
    moments = inertia(body(1.45, "female", age=15), straight()).moments[[2, 1, 0]]
    take_off, energy, period = leaning(moments, 9 * degree)
    flight = rigid_flight(moments, take_off, duration=4 * period, accuracy=TIGHT)
    turns = count_turns(flight)
    phase = phase_of_period(np.sort(moments), momentum=MOMENTUM, energy=energy)
    whole = round(turns.somersaults / 4 - phase / turn)
    exact = 1 / (whole + phase / turn)
    got = turns.twists / turns.somersaults
    return Finding(f"{got:.4f} twists flown, {exact:.4f} by closed form", abs(got - exact) < 0.002)
