"""A square cut out of a picture at any angle, for a model that knows people upright, and the way back.

Angles turn against the clock and are 0 when the top of the square points to the top of the picture.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]
Picture = NDArray[np.uint8]
SIDE = 256  # px, what the models see


@dataclass(frozen=True)
class Square:
    """Where the square lies: its middle and side in px of the picture, its angle in rad.

    Example
        >>> turned = Square(100.0, 50.0, 256.0, np.pi / 2)
        >>> [float(round(x)) for x in turned.to_picture(np.array([[128.0, 0.0]]))[0]]  # its top points left
        [-28.0, 50.0]
    """

    x: float
    y: float
    side: float
    angle: float

    def to_picture(self, points: Array) -> Array:
        """Points of the square, (K, 2) px of 256, as pixels of the picture."""
        across, down = (np.moveaxis(points, -1, 0) - SIDE / 2) * (self.side / SIDE)
        c, s = np.cos(self.angle), np.sin(self.angle)
        return np.stack([self.x + across * c + down * s, self.y - across * s + down * c], axis=-1)


@cache
def _grid() -> tuple[NDArray[np.float32], NDArray[np.float32]]:
    """Where the middles of the 256 × 256 pixels lie, from the middle of the square, as shares of its side."""
    line = ((np.arange(SIDE) + 0.5) / SIDE - 0.5).astype(np.float32)
    across, down = np.meshgrid(line, line)
    return across.ravel(), down.ravel()


def cut(picture: Picture, square: Square) -> NDArray[np.float32]:
    """The square as the model wants it: (256, 256, 3) from 0 to 1, black where it hangs over the edge."""
    picture, square = _thinned(picture, square)
    across, down = _grid()
    c, s = np.float32(np.cos(square.angle) * square.side), np.float32(np.sin(square.angle) * square.side)
    # a pixel's middle has half coordinates: pixel 0 covers 0 to 1
    x = across * c + down * s + np.float32(square.x - 0.5)
    y = down * c - across * s + np.float32(square.y - 0.5)
    height, width = picture.shape[:2]
    left, top = np.floor(x).astype(np.int32), np.floor(y).astype(np.int32)
    inside = (left >= 0) & (top >= 0) & (left < width - 1) & (top < height - 1)
    np.clip(left, 0, width - 2, out=left)
    np.clip(top, 0, height - 2, out=top)
    fx, fy = (x - left)[:, None], (y - top)[:, None]
    flat, first = picture.reshape(-1, 3), top * width + left
    upper = flat[first] * (1 - fx) + flat[first + 1] * fx
    lower = flat[first + width] * (1 - fx) + flat[first + width + 1] * fx
    out = (upper * (1 - fy) + lower * fy) * (inside[:, None] / np.float32(255))
    return np.asarray(out, dtype=np.float32).reshape(SIDE, SIDE, 3)


def _thinned(picture: Picture, square: Square) -> tuple[Picture, Square]:
    """A large square is averaged down first, so that fine patterns make no false ones."""
    k = int(square.side / SIDE)
    if k < 2:
        return picture, square
    reach = square.side * 0.71
    height, width = picture.shape[:2]
    left, top = (max(0, int(v - reach)) for v in (square.x, square.y))
    right, bottom = min(width, int(square.x + reach)), min(height, int(square.y + reach))
    part = picture[top:bottom, left:right]
    high, wide = part.shape[0] // k * k, part.shape[1] // k * k
    if min(high, wide) < 2 * k:
        return picture, square
    small = part[:high, :wide].reshape(high // k, k, wide // k, k, 3).mean(axis=(1, 3)).astype(np.uint8)
    return small, Square((square.x - left) / k, (square.y - top) / k, square.side / k, square.angle)
