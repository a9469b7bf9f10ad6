"""Finding the timing of a twist that forgives most: the landing's spread over real noise is what is made small.

Many timings land perfectly on paper and scatter unlike in the air. So the search begins in many places, and what it
brings down is the mean square of the landing error over flights with noise in them, never that of one perfect flight.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from loftbook.errors import RangeError
from loftbook.mechanics.arrays import Array
from loftbook.mechanics.body import Body
from loftbook.mechanics.flight import Trust, Verdict
from loftbook.mechanics.twist_bands import LandingBand, Noise, disturbances, landing_band
from loftbook.mechanics.twist_flights import Disturbance, land
from loftbook.mechanics.twist_technique import Technique, with_values
from loftbook.units import degree, degrees_from_radians

Progress = Callable[[float, str], None]

TILT_WEIGHT = (
    2.0  # a degree of tilt left at landing counts as two of twist: leaning, the body goes on twisting
)
HALFWAY_FREE = 45 * degree  # of twist; what the first somersault may leave over or short without counting
SCREENED, BEST = 1024, 5  # random starts looked at once; places from which the spread is brought down
DRAWS = 40  # flights with noise in the sum that is brought down
APART = 0.08  # of the inputs' ranges; places closer than this are one
LANDS_TWIST, LANDS_TILT, LANDS_SOMERSAULT = 30 * degree, 10 * degree, 30 * degree


@dataclass(frozen=True)
class Alternative:
    """Another place where the search ended.

    Units
        values : (P,) of the inputs; error : rad, root of the mean square landing error over flights with noise
    """

    values: tuple[float, ...]
    error: float


@dataclass(frozen=True)
class Solved:
    """A timing found, and how its flights land.

    Units
        technique : with its inputs set; band : over fresh flights that the search never saw
        perfect_spread : rad, spread of twist of the best timing found when one perfect flight is all that counts; None
        when no such was found
        starts : places tried; flights : flown in the search
        others : where else the search ended, best first
    """

    technique: Technique
    band: LandingBand
    perfect_spread: float | None
    starts: int
    flights: int
    others: tuple[Alternative, ...]
    verdict: Verdict


def solve_landing(
    body: Body,
    technique: Technique,
    *,
    noise: Noise | None = None,
    seed: int,
    starts: int = 24,
    progress: Progress | None = None,
) -> Solved:
    """Look for the arm timing that lands this skill and forgives most.

    Units
        noise : of timing, momentum and take-off; seed : the same seed gives the same answer
        starts : places from which to look, 4 to 500; progress : is told the share done and a sentence

    Valid
        within the inputs' limits. A result that does not land is a value with a verdict, not an error.

    Raises
        RangeError for a number of starts out of range

    Source
        least squares (trust region, scipy) from the best of many random starts; the sum of squares runs over flights
        with noise

    Example
        >>> from loftbook.mechanics import barani_out, body
        >>> girl = body(1.6, "female", age=15)
        >>> found = solve_landing(girl, barani_out(girl, flight_time=1.6), seed=1, starts=4)
        >>> found.verdict.trust == "good", found.band.quarter > 0.9
        (True, True)
    """
    if not 4 <= starts <= 500:
        raise RangeError(f"{starts} starts", "4 to 500", "24 are usually enough")
    noise = noise or Noise()
    tell = progress or _nobody
    search = _Search(body, technique)
    tell(0.0, "Looking at many timings at once")
    nominal = []
    for n, begin in enumerate(_screened(search, starts, seed)):
        nominal.append(_sharpened(search, begin, None, 10))
        tell(0.1 + 0.3 * (n + 1) / starts, f"{n + 1} of {starts} starts sharpened")
    drawn = disturbances(technique, noise, count=DRAWS, seed=seed + 1)
    chosen = _apart(sorted(nominal, key=lambda u: _error(search, u, drawn)))[:BEST]
    ends = []
    for n, begin in enumerate(chosen):
        ends.append(_sharpened(search, begin, drawn, 20))
        tell(0.4 + 0.5 * (n + 1) / len(chosen), f"spread brought down from {n + 1} of {len(chosen)} places")
    ends.sort(key=lambda u: _error(search, u, drawn))
    found = with_values(technique, search.values(ends[0]))
    band = landing_band(body, found, noise, seed=seed + 2)
    others = tuple(Alternative(tuple(search.values(u)), _error(search, u, drawn)) for u in ends[1:])
    perfect = _perfect_spread(search, nominal, noise, seed)
    tell(1.0, "Done")
    return Solved(found, band, perfect, starts, search.flights, others, _verdict(technique, band))


class _Search:
    """Landing errors of a technique in units of its inputs' ranges, and how many flights they took."""

    def __init__(self, body: Body, technique: Technique) -> None:
        self.body, self.technique, self.flights = body, technique, 0
        limits = np.array([one.limits for one in technique.inputs])
        self.least, self.most = limits[:, 0], limits[:, 1]
        self.range = self.most - self.least

    def values(self, share: Array) -> Array:
        """Inputs from shares of their ranges."""
        return np.asarray(np.clip(self.least + self.range * share, self.least, self.most))

    def errors(self, shares: Array, drawn: Disturbance | None) -> Array:
        """Landing errors of (B, P) shares, (B, draws x 4), scaled so that their squares sum to a mean."""
        count = 1 if drawn is None else len(drawn.times)
        values = np.repeat(self.values(shares), count, axis=0)
        repeated = None if drawn is None else _repeated(drawn, len(shares))
        landed = land(self.body, self.technique, values, disturbed=repeated)
        self.flights += len(values)
        halfway = np.maximum(np.abs(landed.halfway) - HALFWAY_FREE, 0.0)
        found = np.stack([landed.twist, TILT_WEIGHT * landed.tilt, landed.somersault, halfway], axis=1)
        return np.asarray(found.reshape(len(shares), -1) / np.sqrt(count))


def _screened(search: _Search, starts: int, seed: int) -> Array:
    """The best of many random starts, judged by one perfect flight each."""
    size = (max(SCREENED, 4 * starts), len(search.range))
    shares = np.random.default_rng(seed).random(size)
    cost = np.sum(np.square(search.errors(shares, None)), axis=1)
    return np.asarray(shares[np.argsort(cost)[:starts]])


def _sharpened(search: _Search, begin: Array, drawn: Disturbance | None, evaluations: int) -> Array:
    """Bring down the landing error from one place, by least squares."""
    from scipy.optimize import least_squares

    step = 1e-4 if drawn is None else 1e-3

    def slopes(share: Array) -> Array:
        signs = np.where(share + step > 1, -step, step)
        found = search.errors(np.vstack([share, share + np.diag(signs)]), drawn)
        return np.asarray(((found[1:] - found[0]) / signs[:, None]).T)

    def errors(share: Array) -> Array:
        return np.asarray(search.errors(share[None], drawn)[0])

    end = least_squares(
        errors,
        np.clip(begin, 1e-6, 1 - 1e-6),
        slopes,
        bounds=(0.0, 1.0),
        max_nfev=evaluations,
        ftol=1e-3,
        xtol=1e-4,
    )
    return np.asarray(end.x)


def _apart(shares: list[Array]) -> list[Array]:
    """Leave out places that are nearly the same as a better one."""
    kept: list[Array] = []
    for share in shares:
        if all(np.max(np.abs(share - other)) > APART for other in kept):
            kept.append(share)
    return kept


def _error(search: _Search, share: Array, drawn: Disturbance) -> float:
    return float(np.sqrt(np.sum(np.square(search.errors(share[None], drawn)))))


def _perfect_spread(search: _Search, nominal: list[Array], noise: Noise, seed: int) -> float | None:
    """Spread of twist that comes with the most exact of the perfect timings."""
    exact = min(nominal, key=lambda u: float(np.sum(np.square(search.errors(u[None], None)))))
    if float(np.max(np.abs(search.errors(exact[None], None)))) > 2 * degree:
        return None
    technique = with_values(search.technique, search.values(exact))
    return landing_band(search.body, technique, noise, seed=seed + 2).twist_spread


def _repeated(drawn: Disturbance, times: int) -> Disturbance:
    return Disturbance(
        np.tile(drawn.times, (times, 1)), np.tile(drawn.momentum, times), np.tile(drawn.tilt, times)
    )


def _verdict(technique: Technique, band: LandingBand) -> Verdict:
    off = (
        (abs(band.twist.middle), LANDS_TWIST, "twist"),
        (abs(band.tilt.middle), LANDS_TILT, "tilt"),
        (abs(band.somersault.middle), LANDS_SOMERSAULT, "somersault"),
    )
    for value, most, what in off:
        if not value <= most:
            return Verdict(
                Trust.NONE,
                f"No timing was found that lands a {technique.name} in {technique.flight_time:g} s: the best misses by "
                f"{degrees_from_radians(value):.0f}° of {what}. Try a longer flight, more starts, or wider limits.",
            )
    return band.verdict


def _nobody(_share: float, _sentence: str) -> None:
    """Nobody asked to be told."""
