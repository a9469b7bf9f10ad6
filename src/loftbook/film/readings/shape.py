"""Which shape it was, by the limits of a named edition, and how far from being another."""

from __future__ import annotations

from dataclasses import dataclass
from math import inf, isfinite, pi

import numpy as np

from loftbook.film.measurement import FlightSeen
from loftbook.film.reading import Reading
from loftbook.film.readings.fold import bends_verdict, held_frames, model_spread
from loftbook.film.readings.told import no_pose, silent, word
from loftbook.mechanics import Trust, Verdict
from loftbook.units import degree


@dataclass(frozen=True)
class ShapeBox:
    """One shape of an edition: between which opening angles of hip and knee it lies.

    Units
        rad, π is straight; both limits belong to it unless a box before it has them
    """

    name: str
    hip: tuple[float, float]
    knee: tuple[float, float]


@dataclass(frozen=True)
class ShapeLimits:
    """The shapes of one edition, the first that fits counts.

    Example
        >>> usual_limits().edition
        'trampoline 2013-16, read second hand; open tuck as in loftbook-1'
    """

    edition: str
    boxes: tuple[ShapeBox, ...]


def usual_limits() -> ShapeLimits:
    """Limits to go by where no edition was named; the ladder's own come as an argument.

    Units
        rad

    Source
        FIG trampoline 2013-16, section 14, read second hand (135° at hip and knee); 90° between tuck and open tuck is
        the programme's own, common practice, no source

    Example
        >>> [box.name for box in usual_limits().boxes]
        ['tuck', 'open tuck', 'pike', 'straight']
    """
    limit, square = 135 * degree, 90 * degree
    return ShapeLimits(
        "trampoline 2013-16, read second hand; open tuck as in loftbook-1",
        (
            ShapeBox("tuck", (0.0, square), (0.0, limit)),
            ShapeBox("open tuck", (square, limit), (0.0, limit)),
            ShapeBox("pike", (0.0, limit), (limit, 1.25 * pi)),
            ShapeBox("straight", (limit, 1.25 * pi), (limit, 1.25 * pi)),
        ),
    )


def shape_by(hip: float, knee: float, limits: ShapeLimits) -> tuple[str, float, str]:
    """The shape of two opening angles, how far from another, and which limit that is.

    Units
        hip, knee : rad, opening; returns the name, rad, words

    Example
        >>> name, distance, nearest = shape_by(80 * degree, 60 * degree, usual_limits())
        >>> name, round(distance / degree), nearest
        ('tuck', 10, 'hip at 90°')
    """
    name = _named(hip, knee, limits)
    best, words = inf, "no limit of this edition"
    for which, joint in ((0, "hip"), (1, "knee")):
        for limit in sorted({edge for box in limits.boxes for edge in (box.hip, box.knee)[which]}):
            for side in (limit - 1e-6, limit + 1e-6):
                moved = (side, knee) if which == 0 else (hip, side)
                gap = abs((hip, knee)[which] - limit)
                if 0 < side < pi and _named(*moved, limits) != name and gap < best:
                    best, words = gap, f"{joint} at {limit / degree:.0f}°"
    return name, best, words


def shape(flight: FlightSeen, limits: ShapeLimits) -> Reading:
    """Which shape she held, by the edition's limits, with the distance to the nearest limit.

    Units
        a word; opening angles in the basis, 180° is straight
    """
    refused = no_pose(flight)
    hips, knees = held_frames(flight, flight.course.hip), held_frames(flight, flight.course.knee)
    if refused or len(hips) < 3 or len(knees) < 3:
        return silent("shape", "", refused or "Too few frames show the shape.", limits.edition)
    hip, knee = float(np.median(hips)), float(np.median(knees))
    name, distance, nearest = shape_by(hip, knee, limits)
    near = f"{distance / degree:.0f}° from the limit, {nearest}" if isfinite(distance) else nearest
    basis = f"hip {hip / degree:.0f}° and knee {knee / degree:.0f}° open, {near}; {limits.edition}"
    verdict = bends_verdict(flight)
    if verdict.trust != Trust.NONE and distance < 2 * model_spread(flight) * degree:
        off = f"Too near the limit to be told: {near}, and angles may be {model_spread(flight):.0f}° off."
        rest = "" if verdict.trust == Trust.GOOD else f" {verdict.sentence}"
        verdict = Verdict(Trust.DOUBTFUL, f"{off}{rest}")
    elif verdict.trust == Trust.GOOD:
        verdict = Verdict(Trust.GOOD, f"{near[:1].upper()}{near[1:]}.")
    return word("shape", name, verdict=verdict, basis=basis)


def _named(hip: float, knee: float, limits: ShapeLimits) -> str:
    for box in limits.boxes:
        if box.hip[0] <= hip <= box.hip[1] and box.knee[0] <= knee <= box.knee[1]:
            return box.name
    return "between"
