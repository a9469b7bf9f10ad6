"""The parts of a flight: leaving, closing, the shape, opening, and the way down to the landing."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from loftbook.film.course import Course
from loftbook.film.track import Array, Flags
from loftbook.units import degree

FOLDED = 55 * degree  # a hip or knee bent by less is no fold; open tuck bends 45 to 90
HALFWAY, NEARLY = (
    0.5,
    0.85,
)  # of the way into the fold: where closing is counted from, where the shape is held


@dataclass(frozen=True)
class Phases:
    """When the shape was closing, held, and opening.

    Units
        s after take-off; None where the body stayed open. closing, opening : halfway into and out of the fold
        held : first and last instant within 85 % of the fold; a straight flight is held from a fifth to four fifths
    """

    folded: bool
    closing: float | None
    opening: float | None
    held: tuple[float, float]


def phases_of(course: Course, leaves: float, lands: float) -> Phases:
    """When she closed, held and opened her shape.

    Units
        leaves, lands : s of the clip

    Valid
        one shape a flight: the longest fold is taken

    Source
        definition

    Example
        >>> Phases(folded=False, closing=None, opening=None, held=(0.3, 1.2)).folded
        False
    """
    flight = lands - leaves
    away = 0.06 * flight
    inside = course.between(leaves + away, lands - away)
    bend = smooth_bend(course)
    plain = Phases(folded=False, closing=None, opening=None, held=(0.2 * flight, 0.8 * flight))
    if inside.sum() < 6 or not np.isfinite(bend[inside]).any():
        return plain
    deep = float(np.nanpercentile(bend[inside], 80))
    if deep < FOLDED:
        return plain
    half = _longest(inside & (bend > HALFWAY * deep))
    held = _longest(inside & (bend > NEARLY * deep))
    t = course.times
    closing = _crossing(t, bend, half[0], -1, HALFWAY * deep)
    opening = _crossing(t, bend, half[1], 1, HALFWAY * deep)
    return Phases(
        folded=True,
        closing=closing - leaves,
        opening=opening - leaves,
        held=(float(t[held[0]] - leaves), float(t[held[1]] - leaves)),
    )


def smooth_bend(course: Course) -> Array:
    """How far the body is folded at each instant, rad: the bend of the hip, three frames taken together."""
    bend = np.pi - course.hip
    known = np.isfinite(bend) & ~course.doubtful
    if known.sum() < 4:
        known = np.isfinite(bend)
    if not known.any():
        return np.asarray(bend)
    n = np.arange(len(bend))
    filled = np.interp(n, n[known], bend[known])
    padded = np.pad(filled, 1, mode="edge")
    return np.asarray(np.median(np.stack([padded[:-2], padded[1:-1], padded[2:]]), axis=0))


def _longest(inside: Flags) -> tuple[int, int]:
    """First and last frame of the longest unbroken stretch."""
    edges = np.flatnonzero(np.diff(np.concatenate([[0], np.asarray(inside, dtype=int), [0]])))
    starts, ends = edges[0::2], edges[1::2] - 1
    k = int(np.argmax(ends - starts))
    return int(starts[k]), int(ends[k])


def _crossing(times: Array, values: Array, edge: int, sense: int, level: float) -> float:
    """The instant between two frames at which a curve passes a level."""
    other = edge + sense
    if not 0 <= other < len(times) or values[other] == values[edge]:
        return float(times[edge])
    share = (values[edge] - level) / (values[edge] - values[other])
    return float(times[edge] + np.clip(share, 0, 1) * (times[other] - times[edge]))
