"""How she leaned when she left, and how she met the landing: short or over."""

from __future__ import annotations

from math import hypot

import numpy as np

from loftbook.film.measurement import FlightSeen
from loftbook.film.reading import Reading
from loftbook.film.readings.told import no_fall, number, silent, weaker
from loftbook.mechanics import Trust, Verdict
from loftbook.units import degree, turn

SPREAD = 2.0  # °: trunk's direction while the body is open, rendered clips
NEAR = 0.06  # s around a contact in which the joints must be sure
DOUBTFUL = 6.0  # °: beyond it short and over can hardly be told apart
UPRIGHT = 5.0  # °: less is neither short nor over


def lean(flight: FlightSeen) -> tuple[Reading, Reading]:
    """Lean of the body's line at take-off and at landing.

    Units
        °, of the line from ankles to shoulders (the trunk alone where she is still folded). At take-off backward
        positive; at landing over positive, short negative, whichever way she turned. Turning is whole turns and the
        difference of the two
    """
    return _take_off(flight), _landing(flight)


def _take_off(flight: FlightSeen) -> Reading:
    name, basis = "lean at take-off", "ankles to shoulders at the last touch; backward positive"
    refused = _refused(flight, landing=False)
    if refused:
        return silent(name, "°", refused, basis)
    course, time = flight.course, flight.leaves.time
    angle = course.turned_at(time)
    angle -= round(angle / turn) * turn
    spread = _spread(flight, time, flight.leaves.spread)
    verdict = weaker(_near(flight, time), _facing(flight), flight.judged.path, _known(spread))
    return number(name, flight.sense.faces * angle / degree, "°", spread=spread, verdict=verdict, basis=basis)


def _landing(flight: FlightSeen) -> Reading:
    name, basis = (
        "landing lean",
        "ankles to shoulders at first touch against upright; short negative, over positive",
    )
    refused = _refused(flight, landing=True)
    if refused:
        return silent(name, "°", refused, basis)
    course, time = flight.course, flight.lands.time
    start, end = course.turned_at(flight.leaves.time), course.turned_at(time)
    sense = 1.0 if end - start >= 0 else -1.0
    off = sense * (end - round(end / turn) * turn)
    spread = _spread(flight, time, flight.lands.spread)
    verdict = weaker(_near(flight, time), flight.judged.path, _known(spread))
    words = (
        "upright"
        if abs(off) < UPRIGHT * degree
        else f"{'over' if off > 0 else 'short'} by {abs(off) / degree:.0f}°"
    )
    told = Verdict(verdict.trust, f"{words[:1].upper()}{words[1:]}. {verdict.sentence}")
    return number(name, off / degree, "°", spread=spread, verdict=told, basis=basis)


def _refused(flight: FlightSeen, *, landing: bool) -> str | None:
    refused = no_fall(flight)
    end = flight.lands if landing else flight.leaves
    if refused is None and not end.seen:
        return end.missing("landing" if landing else "take-off")
    return refused


def _near(flight: FlightSeen, time: float) -> Verdict:
    """Whether the joints are sure about a contact, whatever they were in the fold."""
    about = flight.course.between(time - NEAR, time + NEAR)
    if about.any() and not flight.course.doubtful[about].any():
        return Verdict(Trust.GOOD, "The body is open there, and its joints are seen.")
    return Verdict(Trust.DOUBTFUL, "The joints are doubtful about that instant.")


def _known(spread: float) -> Verdict:
    if spread > DOUBTFUL:
        return Verdict(Trust.DOUBTFUL, f"Known to {spread:.0f}° only; draw the line of the bed.")
    return Verdict(Trust.GOOD, "The instant is known well enough.")


def _facing(flight: FlightSeen) -> Verdict:
    if flight.sense.sure:
        return Verdict(Trust.GOOD, "Nose, toes and knees tell which way she faces.")
    return Verdict(Trust.DOUBTFUL, "Which way she faced is not sure, so backward and forward may be swapped.")


def _spread(flight: FlightSeen, time: float, timing: float) -> float:
    course = flight.course
    rate = abs(course.at(course.trunk, time + 0.03) - course.at(course.trunk, time - 0.03)) / 0.06
    return hypot(SPREAD, (rate if np.isfinite(rate) else 0.0) * timing / degree)
