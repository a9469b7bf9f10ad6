"""How fast she turned: on the whole, and at the quickest."""

from __future__ import annotations

from math import hypot

import numpy as np

from loftbook.film.measurement import FlightSeen
from loftbook.film.reading import Reading
from loftbook.film.readings.rotation import turning_of
from loftbook.film.readings.time_of_flight import duration_spread
from loftbook.film.readings.told import ends_seen, no_clock, no_pose, number, silent, weaker
from loftbook.mechanics import Trust
from loftbook.units import degree

OVER = 0.10  # s over which the quickest turning is taken: shorter is noise
PEAK_SPREAD = 0.05  # relative; rendered clips


def spin(flight: FlightSeen) -> tuple[Reading, Reading]:
    """Mean turning, and the quickest over a tenth of a second.

    Units
        °/s, backward positive
    """
    turning = turning_of(flight)
    basis = f"{turning.basis}; backward positive"
    refused = no_clock(flight) or ends_seen(flight)
    if refused or turning.verdict.trust == Trust.NONE:
        why = refused or turning.verdict.sentence
        return silent("peak spin", "°/s", why, basis), silent("mean spin", "°/s", why, basis)
    mean = turning.total / flight.duration
    spread = hypot(2 * turning.spread / flight.duration, mean * duration_spread(flight) / flight.duration)
    even = number(
        "mean spin",
        mean / degree,
        "°/s",
        spread=spread / degree,
        verdict=weaker(turning.verdict, flight.judged.path),
        basis=basis,
    )
    return _peak(flight), even


def _peak(flight: FlightSeen) -> Reading:
    name, basis = "peak spin", f"direction of the trunk over {OVER:g} s; backward positive"
    refused = no_pose(flight)
    if refused:
        return silent(name, "°/s", refused, basis)
    course = flight.course
    known = np.isfinite(course.trunk) & ~course.doubtful
    starts = np.arange(flight.leaves.time, flight.lands.time - OVER, 0.005)
    if known.sum() < 8 or len(starts) == 0:
        return silent(name, "°/s", "Too few frames show the trunk.", basis)
    t, angle = course.times[known], flight.sense.faces * course.trunk[known]
    rates = (np.interp(starts + OVER, t, angle) - np.interp(starts, t, angle)) / OVER
    peak = float(rates[np.argmax(np.abs(rates))])
    verdict = weaker(flight.judged.pose, flight.judged.turning, flight.judged.path)
    return number(
        name, peak / degree, "°/s", spread=abs(peak) * PEAK_SPREAD / degree, verdict=verdict, basis=basis
    )
