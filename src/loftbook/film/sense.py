"""Which way she faces in the picture, so that turning in it becomes backward or forward."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np

from loftbook.film.course import Course
from loftbook.film.track import Array, Flags, Track
from loftbook.units import degree

BENT_HIP, BENT_KNEE = (
    45 * degree,
    25 * degree,
)  # bent this much a joint tells front from back; an arch bends hips 30
STEADY = 0.6  # of all votes in the air: she faces one way all along
SURE = 0.35  # of all votes, by how much one side must lead


@dataclass(frozen=True)
class Sense:
    """Which way she faced at take-off.

    Units
        faces : 1 to the right of the picture, -1 to the left; lead : 0 to 1, by how much that side leads
        turned : whether she faced the other way at landing, None where that cannot be told
    """

    faces: Literal[1, -1]
    lead: float
    turned: bool | None

    @property
    def sure(self) -> bool:
        """Whether one side leads clearly."""
        return self.lead >= SURE


def sense_of(track: Track, course: Course, leaves: float, lands: float) -> Sense:
    """Which way she faced at take-off, by nose, toes, and the way that hips and knees bend.

    Units
        leaves, lands : s

    Valid
        seen from the side; with a twist the way she faced at take-off counts

    Source
        law of the body: hips bend forwards, knees backwards

    Example
        >>> sense_of.__name__
        'sense_of'
    """
    votes = facing_votes(track, course)
    start = _lead(votes, course.between(leaves - 0.2, leaves + 0.15))
    end = _lead(votes, course.between(lands - 0.15, lands + 0.2))
    whole = _lead(votes, course.between(leaves, lands))
    if abs(start) < SURE and abs(whole) >= STEADY:  # nothing turns her round, so all frames may vote
        start = whole
    faces: Literal[1, -1] = 1 if start >= 0 else -1
    told = min(abs(start), abs(end)) >= SURE
    return Sense(faces, min(abs(start), 1.0), bool(start * end < 0) if told else None)


def facing_votes(track: Track, course: Course) -> Array:
    """Votes of each frame for facing right (positive) or left, (N, 4): nose, toes, hips, knees; NaN for none."""
    places, trunk = course.places, course.places["shoulder"] - course.places["hip"]
    length = float(np.nanmedian(np.linalg.norm(trunk, axis=1)))
    forward = np.stack([trunk[:, 1], -trunk[:, 0]], axis=1) / np.maximum(
        np.linalg.norm(trunk, axis=1, keepdims=True), 1e-9
    )
    nose, ear = track.of("nose"), track.middle("ear")
    scale = float(np.nanmedian(np.linalg.norm(track.middle("shoulder") - track.middle("hip"), axis=1)))
    face = (nose - ear) * np.array([1.0, -1.0]) / max(scale, 1e-9) * length
    shank = places["ankle"] - places["knee"]
    across = np.stack([-shank[:, 1], shank[:, 0]], axis=1) / np.maximum(
        np.linalg.norm(shank, axis=1, keepdims=True), 1e-9
    )
    foot = np.sum((places["toe"] - places["heel"]) * across, axis=1)
    thigh = places["knee"] - places["hip"]
    hip = _cross(
        -trunk, thigh
    )  # thigh turned against the clock from hanging: knee to the right, she faces right
    knee = -_cross(thigh, shank)
    return np.stack(
        [
            _vote(np.sum(face * forward, axis=1), 0.1 * length),
            _vote(foot, 0.1 * length),
            np.where(np.abs(hip) > BENT_HIP, np.sign(hip), np.nan),
            np.where(np.abs(knee) > BENT_KNEE, np.sign(knee), np.nan),
        ],
        axis=1,
    )


def _vote(amount: Array, least: float) -> Array:
    return np.asarray(np.where(np.abs(amount) > least, np.sign(amount), np.nan))


def _cross(a: Array, b: Array) -> Array:
    """Angle from one direction to another, against the clock, rad."""
    return np.asarray(np.arctan2(a[:, 0] * b[:, 1] - a[:, 1] * b[:, 0], np.sum(a * b, axis=1)))


def _lead(votes: Array, when: Flags) -> float:
    some = votes[when]
    known = np.isfinite(some)
    return float(np.nansum(some) / known.sum()) if known.any() else 0.0
