"""Edges that lie, in the still background: the rims of beds, pads and mats among everything else in a hall.

The picture is cut into narrow upright strips. In each, rows are averaged along slightly tilted lines; where what lies
above such a line differs from what lies below, an edge is kept with its two colours' difference. No picture is kept:
bystanders do not come along.
"""

from __future__ import annotations

from typing import Final

import numpy as np
from numpy.typing import NDArray

from loftbook.film.track import Array

STRIPS = 63  # across the picture, half overlapping
# how far an edge may rise or fall, px per px; the level one first, which is taken where several fit alike
TILTS: Final = np.array(sorted(np.round(np.arange(-0.14, 0.1401, 0.02), 2), key=abs))
COLUMNS = 4  # px that are taken together
LEAST = 10.0  # of 255, difference between above and below; below it is noise and compression
APART = 2  # rows between two edges of one strip

Picture = NDArray[np.float32]


def edges_of(background: Picture, *, scale: float = 1.0) -> Array:
    """What lies in a still picture as edges, strip by strip.

    Units
        background : (H, W, 3) of 255; scale : px of the film in one px of it
        answer : (E, 6): x and row in px of the film, slope (px down per px right), and how much red, green and blue
        lies below the edge more than above it, of 255

    Valid
        edges that lie within 8° of level, at least two rows apart

    Example
        >>> picture = np.full((90, 160, 3), 40.0, np.float32)
        >>> picture[50:] = 200
        >>> found = edges_of(picture)
        >>> bool(np.all(np.abs(found[:, 1] - 50) < 0.1)), round(float(np.median(found[:, 3])))
        (True, 160)
    """
    high, wide = background.shape[:2]
    if high < 8 or wide < STRIPS:
        return np.zeros((0, 6))
    step = np.zeros((high, wide, 3), np.float32)  # row r: the step between rows r - 1 and r
    step[2:-1] = (background[2:-1] + background[3:] - background[1:-2] - background[:-3]) / 2
    coarse = step[:, : wide - wide % COLUMNS].reshape(high, -1, COLUMNS, 3).mean(axis=2)
    half = max(4, wide // (STRIPS + 1))
    found = [_in_strip(coarse, middle, half) for middle in np.linspace(half, wide - half, STRIPS)]
    edges = np.concatenate(found)
    edges[:, :2] *= scale
    return edges


def _in_strip(steps: Picture, middle: float, half: int) -> Array:
    """The edges of one strip: (E, 6), px of the background."""
    at = np.arange(steps.shape[1]) * COLUMNS + (COLUMNS - 1) / 2
    columns = np.flatnonzero(np.abs(at - middle) <= half)
    high = steps.shape[0]
    profiles = np.empty((len(TILTS), high, 3))
    for k, tilt in enumerate(TILTS):
        rows = np.arange(high)[:, None] + np.round(tilt * (at[columns] - middle)).astype(int)
        profiles[k] = steps[np.clip(rows, 0, high - 1), columns].mean(axis=1)
    size = np.linalg.norm(profiles, axis=2)
    best = size.argmax(axis=0)
    most = size.max(axis=0)
    padded = np.pad(most, APART)
    around = np.lib.stride_tricks.sliding_window_view(padded, 2 * APART + 1).max(axis=1)
    rows = np.flatnonzero((most >= around) & (most > LEAST))
    rows = rows[(rows >= 2) & (rows < high - 2)]
    out = np.empty((len(rows), 6))
    for n, row in enumerate(rows):
        k = int(best[row])
        before, here, after = size[k, row - 1 : row + 2]
        bend = before - 2 * here + after
        shift = 0.5 * (before - after) / bend if bend < 0 else 0.0
        out[n] = (middle, row + float(np.clip(shift, -0.5, 0.5)), TILTS[k], *profiles[k, row])
    return out
