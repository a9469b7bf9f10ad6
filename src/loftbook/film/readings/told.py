"""How a reading is put: a number with its spread, or a sentence where this film cannot tell."""

from __future__ import annotations

from math import isfinite

from loftbook.film.measurement import FlightSeen
from loftbook.film.reading import Reading
from loftbook.mechanics import Trust, Verdict

ORDER = {Trust.NONE: 0, Trust.DOUBTFUL: 1, Trust.GOOD: 2}


def number(name: str, value: float, unit: str, *, spread: float, verdict: Verdict, basis: str) -> Reading:
    """A reading that is a number; what is no number after all becomes a sentence.

    Example
        >>> seen = Verdict(Trust.GOOD, "Both ends seen.")
        >>> number("height", 2.9512, "m", spread=0.02, verdict=seen, basis="gravity").value
        2.9512
    """
    if not (isfinite(value) and isfinite(spread)):
        return silent(name, unit, "Too few frames show what this rests on.", basis)
    return Reading(name, float(value), unit, float(spread), verdict, basis, f"{name}/1")


def word(name: str, value: str, *, verdict: Verdict, basis: str) -> Reading:
    """A reading that is a word.

    Example
        >>> word("shape", "tuck", verdict=Verdict(Trust.GOOD, "Far from any limit."), basis="hip and knee").unit
        ''
    """
    return Reading(name, value, "", None, verdict, basis, f"{name}/1")


def silent(name: str, unit: str, why: str, basis: str) -> Reading:
    """What this film cannot tell: no value, and why.

    Example
        >>> silent("twist", "turns", "Seen from the side, a tuck hides its twist.", "shoulders").value is None
        True
    """
    return Reading(name, None, unit, None, Verdict(Trust.NONE, why), basis, f"{name}/1")


def weaker(first: Verdict, *others: Verdict) -> Verdict:
    """The least trusted of some verdicts, the first of equals.

    Example
        >>> weaker(Verdict(Trust.GOOD, "a"), Verdict(Trust.DOUBTFUL, "b")).sentence
        'b'
    """
    return min((first, *others), key=lambda v: ORDER[v.trust])


def no_fall(flight: FlightSeen) -> str | None:
    """Why nothing that rests on gravity can be said, None where it can."""
    return flight.judged.path.sentence if flight.judged.path.trust == Trust.NONE else None


def no_clock(flight: FlightSeen) -> str | None:
    """Why nothing that rests on the film's times can be said, None where it can."""
    refused = no_fall(flight)
    if refused is None and flight.judged.slowed != 1:
        return flight.judged.path.sentence
    return refused


def no_pose(flight: FlightSeen) -> str | None:
    """Why nothing that rests on joints in the fold can be said, None where it can."""
    refused = no_fall(flight)
    if refused is None and flight.judged.pose.trust == Trust.NONE:
        return f"{flight.judged.pose.sentence} {flight.judged.way_out or ''}".strip()
    return refused


def ends_seen(flight: FlightSeen) -> str | None:
    """Which end of the flight the film does not show, None where it shows both."""
    missing = [
        c.missing(n) for n, c in (("take-off", flight.leaves), ("landing", flight.lands)) if not c.seen
    ]
    return " ".join(missing) or None
