"""The two ways through a film as one track: where they agree their mean, where they do not the less doubtful one.

How far they lie apart is kept for each frame. On films with known truth that distance is a flag for the clip: it was
small on every clip that was right and large on every clip that was not.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from loftbook.film.following import TRUNK, Pass, pair, same_sides, trunk_of
from loftbook.film.track import BY_MODEL, JOINTS, MISSING

Array = NDArray[np.float64]

APART = 0.35  # of the trunk; above it two passes name different places
MIDDLES = ("shoulder", "hip", "knee", "ankle")
# One standard deviation of a joint's error, as shares: of the standing height (what is always there), of the distance
# between the passes, and of the distance between the two squares. Calibrated on rendered clips, so a best case.
ALWAYS, OF_APART, OF_DOUBT = 0.012, 0.6, 0.5


def apart_of(forward: Pass, backward: Pass, *, height: float) -> Array:
    """How far the passes lie apart in each frame: the largest of four middles, as a share of the trunk's length."""
    both = np.concatenate([forward.points, backward.points])
    trunk = float(np.median(np.hypot(*np.moveaxis(trunk_of(both), -1, 0))))
    trunk = float(np.clip(trunk, 0.6 * TRUNK * height, 1.4 * TRUNK * height))
    away = [
        np.linalg.norm(pair(forward.points, joint) - pair(backward.points, joint), axis=-1)
        for joint in MIDDLES
    ]
    found: Array = np.max(away, axis=0) / trunk
    return found


def merged(forward: Pass, backward: Pass, *, height: float) -> tuple[Array, Array, NDArray[np.int64], Array]:
    """Points, spread, origin and distance of a track, from both passes.

    Units
        height : px of the standing body
    """
    apart = apart_of(forward, backward, height=height)
    other = same_sides(backward.points, forward.points)
    between = np.linalg.norm(other - forward.points, axis=-1)
    doubt = np.minimum(forward.doubt, backward.doubt)
    agree = (apart <= APART)[:, None]
    calmer = (_calm(forward) <= _calm(backward))[:, None]
    points = np.where(
        agree[..., None],
        (forward.points + other) / 2,
        np.where(calmer[..., None], forward.points, backward.points),
    )
    spread = np.sqrt((ALWAYS * height) ** 2 + (OF_APART * between) ** 2 + (OF_DOUBT * doubt) ** 2)
    seen = (forward.believed | backward.believed)[:, None] & np.isfinite(points[..., 0])
    origin = np.where(seen, BY_MODEL, MISSING)
    points = np.where(seen[..., None], np.round(points, 2), np.nan)
    spread = np.where(seen, np.round(spread, 2), np.nan)
    assert points.shape[1] == len(JOINTS)
    return points, spread, origin.astype(np.int64), np.round(apart, 4)


def _calm(one: Pass) -> Array:
    """How much a pass doubts itself round each frame: five frames' doubt, more where nothing was believed."""
    doubt = one.doubt.mean(axis=1) + np.where(one.believed, 0.0, one.doubt.max())
    kernel = np.ones(5) / 5
    edge = np.pad(doubt, 2, mode="edge")
    return np.convolve(edge, kernel, mode="valid")
