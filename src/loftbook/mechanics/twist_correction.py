"""A simple correction in flight: she senses how the twist stands, and moves a later arm sooner, later or further.

It shows how much of a band a little feedback takes away. It is a line fitted to noisy flights, not a model of anybody's
nervous system.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import isfinite

import numpy as np

from loftbook.errors import PlanError, RangeError
from loftbook.mechanics.arrays import Array
from loftbook.mechanics.body import Body
from loftbook.mechanics.multibody import fly_many
from loftbook.mechanics.twist_bands import LandingBand, Noise, band_of, disturbances
from loftbook.mechanics.twist_flights import SEARCH_STEPS, Disturbance, Landed, land, variants
from loftbook.mechanics.twist_technique import Technique
from loftbook.units import degree

STEPS = 128
TRAINED = 128  # flights with noise to which the correction is fitted
TILT_WEIGHT = 2.0  # as in twist_solving
FULL_FOR = (
    1.0,
    0.2,
    1.0,
)  # rad of twist, rad of tilt, and always: where the search of the line begins to count in


@dataclass(frozen=True)
class Correction:
    """What she corrects, when she senses it, and how well.

    Units
        by : name of the technique's input that she changes in flight
        sensed_at : s after take-off; delay : s until the movement can begin to differ
        most : the largest change, s or rad as the input
        sensing, sensing_tilt : rad, standard, of twist and of tilt as she senses them

    Valid
        delay 0.15 s, sensing 10° and 2° are common practice, no source. Yeadon and Mikulcik (abstract): control
        with the arms works while the delay is below a quarter of a somersault.

    Raises
        RangeError for times, limits or noise that cannot be

    Example
        >>> Correction("arm down", sensed_at=1.0).delay
        0.15
    """

    by: str
    sensed_at: float
    delay: float = 0.15
    most: float = 0.10
    sensing: float = 10 * degree
    sensing_tilt: float = 2 * degree

    def __post_init__(self) -> None:
        """Refuse what cannot be."""
        for name, most in (
            ("sensed_at", 10.0),
            ("delay", 1.0),
            ("most", 2.0),
            ("sensing", 3.2),
            ("sensing_tilt", 1.0),
        ):
            value = getattr(self, name)
            if not (isfinite(value) and 0 <= value <= most):
                raise RangeError(f"{name} of {value!r}", f"0 to {most:g}", "give seconds and radians")


@dataclass(frozen=True)
class Corrected:
    """Landings with and without the correction, over the same noise.

    Units
        free, corrected : bands; per_twist : change of the input per rad of twist sensed over what was meant
        per_tilt : the same per rad of tilt; sooner : change that is always made
    """

    free: LandingBand
    corrected: LandingBand
    per_twist: float
    per_tilt: float
    sooner: float


def corrected_band(
    body: Body,
    technique: Technique,
    correction: Correction,
    *,
    noise: Noise | None = None,
    count: int = 400,
    seed: int,
) -> Corrected:
    """How much a simple correction in flight narrows the landings.

    Units
        count : flights; seed : of the draws

    Valid
        one correction a flight, a straight line in what is sensed, cut off at `most`

    Raises
        RangeError for an input that the technique does not have; PlanError when that movement would begin before she
        can react

    Source
        the line that makes the mean square landing error smallest over noisy flights; shown on other flights

    Example
        >>> from loftbook.mechanics import body, full_out
        >>> girl = body(1.6, "female", age=15)
        >>> one = full_out(girl, flight_time=1.6)
        >>> found = corrected_band(girl, one, Correction("arm down", sensed_at=0.9), count=40, seed=1)
        >>> found.corrected.flights
        40
    """
    from scipy.optimize import least_squares

    number, earliest = _input_of(technique, correction)
    noise = noise or Noise()
    trained = _seen(
        body, technique, correction, disturbances(technique, noise, count=TRAINED, seed=seed), seed + 1
    )
    limits = (max(-correction.most, earliest), correction.most)

    scale = correction.most / np.array(FULL_FOR)

    def errors(share: Array) -> Array:
        landed = trained.land(number, scale * share, limits, steps=SEARCH_STEPS)
        found = np.concatenate([landed.twist, TILT_WEIGHT * landed.tilt, landed.somersault])
        return np.asarray(found / np.sqrt(TRAINED))

    best = least_squares(errors, np.zeros(3), max_nfev=12, ftol=1e-4)
    line = scale * np.asarray(best.x)
    drawn = disturbances(technique, noise, count=count, seed=seed + 2)
    shown = _seen(body, technique, correction, drawn, seed + 3)
    free, corrected = shown.land(number, np.zeros(3), limits), shown.land(number, line, limits)
    return Corrected(band_of(free), band_of(corrected), float(line[0]), float(line[1]), float(line[2]))


@dataclass(frozen=True, eq=False)
class _Seen:
    """Flights with noise, and what she senses in each of them at one instant, against the flight as meant."""

    body: Body
    technique: Technique
    drawn: Disturbance
    sensed: Array  # (B, 3): rad of twist, rad of tilt, 1

    def land(self, number: int, line: Array, limits: tuple[float, float], *, steps: int = STEPS) -> Landed:
        """Land all flights with one input changed along a line in what is sensed."""
        values = np.repeat(self.technique.values[None], len(self.sensed), axis=0)
        change = np.clip(self.sensed @ line, *limits)
        values[:, number] = np.clip(values[:, number] + change, *self.technique.inputs[number].limits)
        return land(self.body, self.technique, values, disturbed=self.drawn, steps=steps)


def _seen(body: Body, technique: Technique, correction: Correction, drawn: Disturbance, seed: int) -> _Seen:
    """Fly without correction and read twist and tilt when they are sensed."""
    meant = _at(body, technique, correction, None)
    sensed = _at(body, technique, correction, drawn) - meant
    noise = np.random.default_rng(seed).standard_normal(sensed.shape)
    sensed += noise * (correction.sensing, correction.sensing_tilt)
    return _Seen(body, technique, drawn, np.column_stack([sensed, np.ones(len(sensed))]))


def _at(body: Body, technique: Technique, correction: Correction, drawn: Disturbance | None) -> Array:
    """Twist and tilt (B, 2) at the instant that is sensed."""
    prepared, launch = variants(technique, technique.values[None], drawn)
    flown = fly_many(body, prepared, launch, steps=STEPS)
    place = min(correction.sensed_at / technique.flight_time, 1.0) * STEPS
    n = min(int(place), STEPS - 1)
    read = [a[:, n] + (place - n) * (a[:, n + 1] - a[:, n]) for a in (flown.twist, flown.tilt)]
    return np.asarray(np.column_stack(read))


def _input_of(technique: Technique, correction: Correction) -> tuple[int, float]:
    """Number of the input that she changes, and the least change by which its movement still begins in time."""
    names = [one.name for one in technique.inputs]
    if correction.by not in names or technique.inputs[names.index(correction.by)].momentum:
        raise RangeError(
            f"a correction by {correction.by!r}",
            f"one of {', '.join(one.name for one in technique.inputs if not one.momentum)}",
            "name an input of this technique",
        )
    number = names.index(correction.by)
    one = technique.inputs[number]
    concerned = (*one.keys, *(key for key, _, _ in one.angles))
    begins = min(_begin(technique, key) for key in concerned)
    room = begins - correction.sensed_at - correction.delay
    if room < -1e-9:
        raise PlanError(
            f"{correction.by!r} begins at {begins:.2f} s; sensed at {correction.sensed_at:.2f} s and after a delay of "
            f"{correction.delay:.2f} s it can differ from {correction.sensed_at + correction.delay:.2f} s on",
            "a movement that begins later",
            "sense sooner, or correct by a later movement",
        )
    return number, -room if one.keys else -correction.most


def _begin(technique: Technique, number: int) -> float:
    """When the movement to a key begins."""
    key = technique.plan.keys[number]
    before = [other.time for other in technique.plan.keys[:number] if set(other.angles) & set(key.angles)]
    last = max(before, default=0.0)
    return last if key.lead is None else max(key.time - key.lead, last)
