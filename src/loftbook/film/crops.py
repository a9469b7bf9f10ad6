"""A square cut out of a picture at any angle, for a model that knows people upright, and the way back.

Angles turn against the clock and are 0 when the top of the square points to the top of the picture.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numba import njit
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


def cut(picture: Picture, square: Square, *, into: int = SIDE, outside: float = 0.0) -> NDArray[np.float32]:
    """The square as a model wants it: (256, 256, 3) from 0 to 1, black where it hangs over the edge.

    Units
        into : px of the answer's sides; outside : what stands where it hangs over the edge, 0 black to 1 white
    """
    picture, square = _thinned(picture, square, into)
    c, s = np.cos(square.angle) * square.side, np.sin(square.angle) * square.side
    out = np.full((into, into, 3), outside, dtype=np.float32)
    _sampled(np.ascontiguousarray(picture), (square.x, square.y, c, s), out)
    return out


@njit(cache=True)
def _sampled(picture: Picture, where: tuple[float, float, float, float], out: NDArray[np.float32]) -> None:
    """Each pixel of the square as the weighted mean of the four of the picture round it."""
    x0, y0, c, s = where
    height, width = picture.shape[:2]
    size = out.shape[0]
    for row in range(size):
        down = (row + 0.5) / size - 0.5
        for column in range(size):
            across = (column + 0.5) / size - 0.5
            # a pixel's middle has half coordinates: pixel 0 covers 0 to 1
            x, y = x0 - 0.5 + across * c + down * s, y0 - 0.5 - across * s + down * c
            left, top = int(np.floor(x)), int(np.floor(y))
            if left < 0 or top < 0 or left >= width - 1 or top >= height - 1:
                continue
            fx, fy = x - left, y - top
            for k in range(3):
                upper = picture[top, left, k] * (1 - fx) + picture[top, left + 1, k] * fx
                lower = picture[top + 1, left, k] * (1 - fx) + picture[top + 1, left + 1, k] * fx
                out[row, column, k] = (upper * (1 - fy) + lower * fy) / 255


def _thinned(picture: Picture, square: Square, into: int) -> tuple[Picture, Square]:
    """A large square is averaged down first, so that fine patterns make no false ones."""
    k = int(square.side / into)
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
