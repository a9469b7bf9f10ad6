"""How far she turned: in all, and in each half of the flight."""

from __future__ import annotations

from dataclasses import dataclass
from math import hypot

import numpy as np

from loftbook.film.judging import silhouette_turning
from loftbook.film.measurement import FlightSeen
from loftbook.film.reading import Reading
from loftbook.film.readings.told import ends_seen, no_fall, number, silent, weaker
from loftbook.mechanics import Trust, Verdict
from loftbook.units import degree

BY_JOINTS, BY_OUTLINE = 2.0, 6.0  # °, at each end: rendered clips, where the body is open at both
DOUBTFUL = 15.0  # °: a quarter of an hour of the clock and more
IN_FOLD = 12.0  # °, where a half ends in the fold and the outline is not the trunk


@dataclass(frozen=True)
class Turning:
    """How far she turned in the air, backward positive.

    Units
        total, first : rad; spread : rad of each end; verdict, basis : as in a reading
    """

    total: float
    first: float
    spread: float
    verdict: Verdict
    basis: str


def turning_of(flight: FlightSeen) -> Turning:
    """Turning by joints where they were followed, else by the silhouette.

    Units
        rad

    Source
        trunk's direction, or the long axis of what differs from the still background
    """
    course, ends = flight.course, (flight.leaves, flight.lands)
    halfway = (ends[0].time + ends[1].time) / 2
    faces, judged = flight.sense.faces, flight.judged
    outline = silhouette_turning(flight.silhouette, course, ends)
    if outline is not None and (judged.pose.trust == Trust.NONE or judged.turning.trust != Trust.GOOD):
        known = np.isfinite(flight.silhouette.axis) if flight.silhouette is not None else np.array([])
        assert flight.silhouette is not None
        axis = flight.silhouette.axis
        first = np.interp(halfway, course.times[known], axis[known]) - np.interp(
            ends[0].time, course.times[known], axis[known]
        )
        trust = Trust.DOUBTFUL if judged.turning.trust == Trust.DOUBTFUL else Trust.GOOD
        word = judged.turning.sentence if trust == Trust.DOUBTFUL else "The outline needs no joints."
        return Turning(
            faces * outline, faces * float(first), BY_OUTLINE * degree, Verdict(trust, word), "silhouette"
        )
    at = [course.turned_at(ends[0].time), course.at(course.trunk, halfway), course.turned_at(ends[1].time)]
    return Turning(
        faces * (at[2] - at[0]),
        faces * (at[1] - at[0]),
        BY_JOINTS * degree,
        judged.turning,
        "ankles to shoulders at both ends, turns counted by the trunk",
    )


def rotation(flight: FlightSeen) -> tuple[Reading, Reading, Reading]:
    """Turning from take-off to landing, and in the first and the second half of the time in the air.

    Units
        °, backward positive, forward negative
    """
    names = ("rotation", "rotation in the first half", "rotation in the second half")
    found = turning_of(flight)
    basis = f"{found.basis}; backward positive"
    refused = no_fall(flight) or ends_seen(flight)
    if refused or found.verdict.trust == Trust.NONE:
        why = refused or found.verdict.sentence
        return tuple(silent(name, "°", why, basis) for name in names)  # type: ignore[return-value]
    rate = abs(found.total) / max(flight.duration, 1e-6)
    end = hypot(found.spread, rate * hypot(flight.leaves.spread, flight.lands.spread) / np.sqrt(2))
    middle = hypot(end, IN_FOLD * degree if found.basis == "silhouette" else end)
    verdict = weaker(found.verdict, flight.judged.path)
    if verdict.trust == Trust.GOOD and not flight.sense.sure:
        verdict = Verdict(Trust.DOUBTFUL, "Its sign is not sure: which way she faced cannot be told.")
    if verdict.trust == Trust.GOOD and end * np.sqrt(2) > DOUBTFUL * degree:
        wide = float(end * np.sqrt(2)) / degree
        verdict = Verdict(Trust.DOUBTFUL, f"Known to {wide:.0f}° only; draw the line of the bed.")
    values = (found.total, found.first, found.total - found.first)
    spreads = (np.sqrt(2) * end, middle, middle)
    first, second, third = (
        number(name, value / degree, "°", spread=float(spread) / degree, verdict=verdict, basis=basis)
        for name, value, spread in zip(names, values, spreads, strict=True)
    )
    return first, second, third
