"""A line drawn in the picture: the edge of the bed or of the mat, from the side."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from loftbook.errors import RangeError
from loftbook.film.track import Array


@dataclass(frozen=True)
class Line:
    """A surface seen from the side, as a line between two points of the picture.

    Units
        x0, y0, x1, y1 : px, x right, y down; spread : px, one standard deviation of its height
        found : in the picture, by `film.bed`, and drawn by nobody

    Raises
        RangeError for a line that stands upright

    Example
        >>> Line(0, 700, 1280, 710).height_at(np.array([640.0])).tolist()
        [705.0]
    """

    x0: float
    y0: float
    x1: float
    y1: float
    spread: float = 2.0
    found: bool = False

    def __post_init__(self) -> None:
        """Refuse a line that is no surface."""
        if abs(self.x1 - self.x0) <= abs(self.y1 - self.y0):
            raise RangeError(
                f"a line from {self.x0:g}, {self.y0:g} to {self.x1:g}, {self.y1:g}",
                "a line that lies rather than stands",
                "draw it along the surface of the bed or the mat",
            )

    def height_at(self, x: Array) -> Array:
        """The row of the line at these columns, px."""
        return np.asarray(self.y0 + (x - self.x0) * (self.y1 - self.y0) / (self.x1 - self.x0))
