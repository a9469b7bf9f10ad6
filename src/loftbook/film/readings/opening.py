"""When the shape closed and opened: in seconds, and on the clock."""

from __future__ import annotations

from math import isfinite

from loftbook.film.measurement import FlightSeen
from loftbook.film.reading import Reading
from loftbook.film.readings.told import no_clock, no_pose, number, silent, weaker
from loftbook.mechanics import Verdict
from loftbook.units import degree, turn

SPREAD = 0.02  # s: how well the middle of a movement of a quarter of a second is found; an assumption
HOUR = turn / 12


def opening(flight: FlightSeen) -> tuple[Reading, Reading, Reading, Reading]:
    """When she was halfway into and out of her fold: time after take-off, and hour of the clock.

    Units
        s; hours of a clock that the feet point to: 6 is upright, 12 is upside down, counted through the flight

    Source
        the trade's clock rule, feet overhead at 12; docs/guide/film.md
    """
    return (
        _time(flight, "shape closes", flight.phases.closing),
        _time(flight, "shape opens", flight.phases.opening),
        _hour(flight, "clock at closing", flight.phases.closing),
        _hour(flight, "clock at opening", flight.phases.opening),
    )


def clock(turned: float) -> float:
    """The hour to which the feet point after turning this far backward from upright.

    Units
        rad; hours above 0 up to 12

    Example
        >>> from math import pi
        >>> clock(0.0), clock(pi), round(clock(3.5 * pi), 1)
        (6.0, 12.0, 3.0)
    """
    hour = (6 + turned / HOUR) % 12
    return hour if hour > 1e-9 else 12.0


def _refused(flight: FlightSeen, when: float | None) -> str | None:
    refused = no_pose(flight) or (None if flight.leaves.seen else flight.leaves.missing("take-off"))
    return refused or ("The body stayed open: nothing closes." if when is None else None)


def _time(flight: FlightSeen, name: str, when: float | None) -> Reading:
    basis = "bend of the hip, halfway; seconds after take-off"
    refused = _refused(flight, when) or no_clock(flight)
    if refused or when is None:
        return silent(name, "s", refused or "", basis)
    hour, count = _at(flight, when)
    verdict = weaker(flight.judged.pose, flight.judged.path)
    told = Verdict(verdict.trust, f"At {_words(hour)}, somersault {count}. {verdict.sentence}")
    spread = (SPREAD**2 + flight.leaves.spread**2) ** 0.5
    return number(name, when, "s", spread=spread, verdict=told, basis=basis)


def _hour(flight: FlightSeen, name: str, when: float | None) -> Reading:
    basis = "direction of the trunk halfway; the feet point to this hour, 6 upright, 12 upside down"
    refused = _refused(flight, when)
    if refused or when is None:
        return silent(name, "o'clock", refused or "", basis)
    hour, count = _at(flight, when)
    verdict = weaker(flight.judged.pose, flight.judged.turning, flight.judged.path)
    told = Verdict(verdict.trust, f"In somersault {count}. {verdict.sentence}")
    return number(name, hour, "o'clock", spread=0.4, verdict=told, basis=basis)


def _at(flight: FlightSeen, when: float) -> tuple[float, int]:
    course = flight.course
    turned = course.at(course.trunk, flight.leaves.time + when) - _upright(flight)
    forward = flight.sense.faces * turned
    sense = (
        1.0
        if flight.sense.faces * (course.at(course.trunk, flight.lands.time) - _upright(flight)) >= 0
        else -1.0
    )
    return clock(sense * forward), int(abs(forward) // turn) + 1


def _upright(flight: FlightSeen) -> float:
    """The direction of the trunk in whole turns that is nearest to take-off."""
    start = flight.course.at(flight.course.trunk, flight.leaves.time)
    return round(start / turn) * turn if isfinite(start) else 0.0


def _words(hour: float) -> str:
    return f"{hour:.1f} o'clock, by the feet, {round((hour - 6) % 12 * HOUR / degree)}° on"
