"""Where a twisting somersault lands when timing and momentum are never quite as meant: bands, not points.

A single perfect timing means nothing in twisting: ten milliseconds of one arm can move the landing by tens of degrees.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import isfinite

import numpy as np

from loftbook.errors import RangeError
from loftbook.mechanics.arrays import Array
from loftbook.mechanics.bands import Band
from loftbook.mechanics.body import Body, thicker
from loftbook.mechanics.flight import Trust, Verdict
from loftbook.mechanics.twist_flights import Disturbance, Landed, land
from loftbook.mechanics.twist_technique import Technique
from loftbook.units import degree, degrees_from_radians, millisecond

STEPS = 128
FEWEST, MOST = 20, 20000
QUARTER = 90 * degree  # of twist; further off than this at landing is another landing
DEPENDABLE = 0.95  # least share of flights within a quarter twist for a good verdict; our choice


@dataclass(frozen=True)
class Noise:
    """How much a gymnast's flights of the same skill differ among themselves.

    Units
        timing : s, standard, of each movement by itself; momentum : relative, standard
        tilt : rad, standard, of the body against its momentum at take-off

    Valid
        10 ms, 2 % and half a degree are common practice, no source: measure your own where you can. Without any tilt
        the search finds timings that live on a knife's edge, where one degree at take-off moves the landing by a turn.

    Raises
        RangeError for a negative one, or one that looks like milliseconds, per cent or degrees

    Example
        >>> Noise().timing
        0.01
    """

    timing: float = 10 * millisecond
    momentum: float = 0.02
    tilt: float = 0.5 * degree

    def __post_init__(self) -> None:
        """Refuse what is no noise."""
        for name, most, hint in (
            ("timing", 0.2, "give seconds: 0.010"),
            ("momentum", 0.3, "give it relative: 0.02 for 2 %"),
            ("tilt", 0.5, "give radians"),
        ):
            value = getattr(self, name)
            if not (isfinite(value) and 0 <= value <= most):
                raise RangeError(f"noise of {value!r} in {name}", f"0 to {most:g}", hint)


@dataclass(frozen=True)
class LandingBand:
    """Where many flights of one technique land, as differences from the landing wanted.

    Units
        twist, tilt, somersault : rad, 95 in 100 of the flights lie in the band, middle is the mean
        twist_spread, tilt_spread, somersault_spread : rad, standard
        quarter : share of the flights that land within a quarter twist
        leaner, stouter : rad, twist at landing when her inertia about the long axis is one standard uncertainty
        less, more, and nothing else changes: how far timings from this model can be trusted for her
        flights : how many were flown
    """

    twist: Band
    tilt: Band
    somersault: Band
    twist_spread: float
    tilt_spread: float
    somersault_spread: float
    quarter: float
    leaner: float
    stouter: float
    flights: int
    verdict: Verdict


def landing_band(
    body: Body, technique: Technique, noise: Noise | None = None, *, count: int = 400, seed: int
) -> LandingBand:
    """Where this technique lands over many flights that differ as real flights do.

    Units
        count : flights; seed : of the random draws, the same seed gives the same band

    Valid
        movements by themselves late or early, momentum larger or smaller; nobody corrects in flight
        (`twist_correction` does)

    Raises
        RangeError for too few or too many flights; PlanError for movements that nobody can make

    Source
        law: as `fly_many`; spread by counting

    Example
        >>> from loftbook.mechanics import body, full_out
        >>> girl = body(1.6, "female", age=15)
        >>> band = landing_band(girl, full_out(girl, flight_time=1.6), count=40, seed=1)
        >>> band.twist.least < band.twist.most
        True
    """
    if not FEWEST <= count <= MOST:
        raise RangeError(f"{count} flights", f"{FEWEST} to {MOST}", "a few hundred are enough")
    drawn = disturbances(technique, noise or Noise(), count=count, seed=seed)
    landed = land(body, technique, technique.values[None], disturbed=drawn, steps=STEPS)
    return band_of(landed, leaner=_stout(body, technique, -1.0), stouter=_stout(body, technique, 1.0))


def disturbances(technique: Technique, noise: Noise, *, count: int, seed: int) -> Disturbance:
    """Draw what goes otherwise than meant in many flights.

    Units
        count : flights, made even; seed : the same seed draws the same

    Source
        normal, in pairs of opposite sign, so that the mean is exactly as meant

    Example
        >>> from loftbook.mechanics import body, full_out
        >>> one = full_out(body(1.6, "female", age=15), flight_time=1.6)
        >>> bool(abs(disturbances(one, Noise(), count=10, seed=1).momentum.sum()) < 1e-12)
        True
    """
    keys = len(technique.plan.keys)
    half = np.random.default_rng(seed).standard_normal((-(-count // 2), keys + 2))
    drawn = np.concatenate([half, -half])
    return Disturbance(
        noise.timing * drawn[:, :keys], noise.momentum * drawn[:, keys], noise.tilt * drawn[:, keys + 1]
    )


def band_of(landed: Landed, *, leaner: float = 0.0, stouter: float = 0.0) -> LandingBand:
    """The band of flights that have landed.

    Units
        as `LandingBand`

    Source
        definition

    Example
        >>> flat = np.zeros(30)
        >>> band_of(Landed(flat, flat, flat, flat, 0.0)).quarter
        1.0
    """
    twist = _band(landed.twist)
    spread, quarter = float(np.std(landed.twist)), float(np.mean(np.abs(landed.twist) < QUARTER))
    return LandingBand(
        twist=twist,
        tilt=_band(landed.tilt),
        somersault=_band(landed.somersault),
        twist_spread=spread,
        tilt_spread=float(np.std(landed.tilt)),
        somersault_spread=float(np.std(landed.somersault)),
        quarter=quarter,
        leaner=leaner,
        stouter=stouter,
        flights=len(landed.twist),
        verdict=_verdict(twist, spread, quarter, landed.error),
    )


def _band(values: Array) -> Band:
    least, most = np.quantile(values, [0.025, 0.975])
    return Band(float(least), float(np.mean(values)), float(most))


def _stout(body: Body, technique: Technique, sign: float) -> float:
    other = thicker(body, longitudinal=1 + sign * body.longitudinal_uncertainty)
    return float(land(other, technique, technique.values[None], steps=STEPS, workers=1).twist[0])


def _verdict(twist: Band, spread: float, quarter: float, error: float) -> Verdict:
    around = f"twist at landing {_deg(twist.middle)} over, spread {_deg(spread)}"
    if not isfinite(spread + error):
        return Verdict(Trust.NONE, "Some flights did not end in numbers; no band is given. Check the plan.")
    if abs(twist.middle) > QUARTER / 2:
        return Verdict(
            Trust.NONE, f"On average this technique does not land as wanted: {around}. Solve it first."
        )
    share = f"{100 * quarter:.0f} of 100 flights land within a quarter twist of the one wanted"
    if quarter < DEPENDABLE:
        return Verdict(
            Trust.DOUBTFUL,
            f"Only {share}: {around}. Without correction in flight this timing is not to be counted on.",
        )
    return Verdict(Trust.GOOD, f"{share[0].upper()}{share[1:]}: {around}.")


def _deg(angle: float) -> str:
    return f"{degrees_from_radians(angle):.0f}°"
