"""The two ways through a film as one track: where they agree their mean, where they do not the less doubtful one.

How far they lie apart is kept for each frame. On films with known truth that distance is a flag for the clip: it was
small on every clip that was right and large on every clip that was not.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from loftbook.film.course import piked
from loftbook.film.following import (
    TRUNK,
    Answer,
    Guess,
    Pass,
    angle_of,
    fold_of,
    gathered,
    pair,
    same_sides,
    trunk_of,
    wrapped,
)
from loftbook.film.track import BY_MODEL, JOINTS, LARGEST_APART, MISSING

Array = NDArray[np.float64]

APART = LARGEST_APART  # above it two passes name different places
MIDDLES = ("shoulder", "hip", "knee", "ankle")
# One standard deviation of a joint's error along either axis of the picture, as shares of the standing height, of the
# distance between the passes and of the distance between the two squares. Calibrated on three rendered clips with
# known truth, so a best case: sunlight, baggy clothes and bars in front of her are not in it.
OF_HEIGHT = {
    "nose": 0.013,
    "ear": 0.013,
    "shoulder": 0.013,
    "elbow": 0.018,
    "wrist": 0.028,
    "hip": 0.011,
    "knee": 0.016,
    "ankle": 0.017,
    "heel": 0.015,
    "toe": 0.030,
}
ALWAYS = np.array([OF_HEIGHT[name.rsplit("_", maxsplit=1)[-1]] for name in JOINTS])
FOLDED, WHEN_FOLDED = np.radians(60), 1.6
# In a pike the legs are guessed, by all models and both ways alike: what three of them were off on one rendered clip.
IN_PIKE = {"knee": 0.07, "ankle": 0.065, "heel": 0.06, "toe": 0.075}
PIKED = np.array([IN_PIKE.get(name.rsplit("_", maxsplit=1)[-1], 0.0) for name in JOINTS])
OF_APART, OF_DOUBT = 0.6, 0.5


@dataclass(frozen=True, eq=False)
class Merged:
    """The arrays of a track: points, spread, origin and the distance between the passes, as in `Track`."""

    points: Array
    spread: Array
    origin: NDArray[np.int64]
    apart: Array


def met(forth: Sequence[Answer], back: Sequence[Answer]) -> tuple[Pass, Pass]:
    """The frames that both passes have seen; a damaged file can lose some of either."""
    both = {answer.time for answer in forth} & {answer.time for answer in back}
    return (
        gathered([answer for answer in forth if answer.time in both]),
        gathered([answer for answer in back if answer.time in both]),
    )


def apart_of(forward: Pass, backward: Pass, *, height: float) -> Array:
    """How far the passes lie apart in each frame: the largest of four middles, as a share of the trunk's length.

    NaN where only one of them looked.
    """
    both = np.concatenate([forward.points, backward.points])
    trunk = float(np.median(np.hypot(*np.moveaxis(trunk_of(both), -1, 0))))
    trunk = float(np.clip(trunk, 0.6 * TRUNK * height, 1.4 * TRUNK * height))
    away = [
        np.linalg.norm(pair(forward.points, joint) - pair(backward.points, joint), axis=-1)
        for joint in MIDDLES
    ]
    return np.where(forward.alone | backward.alone, np.nan, np.max(away, axis=0) / trunk)


def merged(forward: Pass, backward: Pass, *, height: float) -> Merged:
    """What a track holds, from both passes.

    Units
        height : px of the standing body
    """
    apart = apart_of(forward, backward, height=height)
    other = same_sides(backward.points, forward.points)
    between = np.linalg.norm(other - forward.points, axis=-1)
    doubt = np.minimum(forward.doubt, backward.doubt)
    agree = (np.nan_to_num(apart) <= APART)[:, None]
    calmer = (_calm(forward) <= _calm(backward))[:, None]
    points = np.where(
        agree[..., None],
        (forward.points + other) / 2,
        np.where(calmer[..., None], forward.points, backward.points),
    )
    spread = np.sqrt(_always(points, height) ** 2 + (OF_APART * between) ** 2 + (OF_DOUBT * doubt) ** 2)
    seen = (forward.believed | backward.believed)[:, None] & np.isfinite(points[..., 0])
    return _rounded(points, spread, seen, apart)


def _always(points: Array, height: float) -> Array:
    """The part of the spread that no disagreement shows, (N, 19) px: more where she is folded."""
    folded = np.abs(np.nan_to_num(fold_of(points))) > FOLDED
    usual = np.where(folded, WHEN_FOLDED, 1.0)[:, None] * ALWAYS
    pike = piked(np.pi - np.abs(fold_of(points)), np.pi - np.abs(_knee(points)))
    always: Array = np.where(pike[:, None], np.maximum(usual, PIKED), usual) * height
    return always


def _knee(points: Array) -> Array:
    """By how much the knees are bent, rad; 0 straight."""
    thigh, shank = pair(points, "hip") - pair(points, "knee"), pair(points, "knee") - pair(points, "ankle")
    return wrapped(angle_of(thigh) - angle_of(shank))


def _rounded(points: Array, spread: Array, seen: NDArray[np.bool_], apart: Array) -> Merged:
    """Hundredths of a pixel are enough, and make small files."""
    return Merged(
        np.where(seen[..., None], np.round(points, 2), np.nan),
        np.where(seen, np.round(spread, 2), np.nan),
        np.where(seen, BY_MODEL, MISSING).astype(np.int64),
        np.round(apart, 4),
    )


def guesses(times: Array, points: Array) -> Callable[[float], Guess]:
    """Where she is expected between frames that were followed."""
    known = np.isfinite(points).all(axis=(1, 2))
    at, hips = times[known], pair(points[known], "hip")
    angle = np.unwrap(angle_of(trunk_of(points[known])))

    def guess(time: float) -> Guess:
        place = np.array([np.interp(time, at, hips[:, 0]), np.interp(time, at, hips[:, 1])])
        return Guess(place, float(np.interp(time, at, angle)), np.zeros(2), 0.0)

    return guess


def filled(
    times: Array, found: Merged, more: Sequence[tuple[float, Array, Array, bool]], *, height: float
) -> Merged:
    """Frames read once, put between those of the passes; their distance is that of the frames beside them."""
    if not more:
        return found
    when = np.array([one[0] for one in more])
    near = np.abs(times[None] - when[:, None]).argmin(axis=1)
    points = same_sides(np.stack([one[1] for one in more]), found.points[near])
    doubt = np.stack([one[2] for one in more])
    spread = np.sqrt(_always(points, height) ** 2 + (OF_DOUBT * doubt) ** 2)
    seen = np.array([one[3] for one in more])[:, None] & np.isfinite(points[..., 0])
    added = _rounded(points, spread, seen, np.interp(when, times, np.nan_to_num(found.apart)))
    order = np.argsort(np.concatenate([times, when]), kind="stable")
    return Merged(
        np.concatenate([found.points, added.points])[order],
        np.concatenate([found.spread, added.spread])[order],
        np.concatenate([found.origin, added.origin])[order],
        np.concatenate([found.apart, added.apart])[order],
    )


def _calm(one: Pass) -> Array:
    """How much a pass doubts itself round each frame: five frames' doubt, more where nothing was believed."""
    doubt = one.doubt.mean(axis=1) + np.where(one.believed, 0.0, one.doubt.max())
    kernel = np.ones(5) / 5
    edge = np.pad(doubt, 2, mode="edge")
    return np.convolve(edge, kernel, mode="valid")
