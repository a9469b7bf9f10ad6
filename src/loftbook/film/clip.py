"""What a video file holds, as far as measuring needs it: the upright size, true frame times, and what was odd."""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from loftbook.errors import RangeError, ShapeError

Array = NDArray[np.float64]


@dataclass(frozen=True, eq=False)
class Clip:
    """One film as the decoder found it: when each frame was shown, and how large the upright picture is.

    Units
        times : (N,) s, presentation time of each frame from the first one, never index over rate; strictly rising
        width, height : pixels of the picture turned upright; turned : degrees by which the file asks to turn it
        digest : sha256 of the untouched file, in hex
        notes : sentences about what was odd (dropped frames, uneven times, a still stretch), in plain words

    Raises
        ShapeError, RangeError for times that do not rise

    Example
        >>> clip = Clip(times=np.arange(4) / 60, width=1280, height=720, codec="h264", digest="0" * 64)
        >>> round(clip.rate, 3), clip.frames
        (60.0, 4)
    """

    times: Array
    width: int
    height: int
    codec: str
    digest: str
    turned: int = 0
    notes: tuple[str, ...] = field(default=())

    def __post_init__(self) -> None:
        """Refuse times that stand still or run back."""
        if self.times.ndim != 1 or len(self.times) < 2:
            raise ShapeError(f"frame times of shape {self.times.shape}", "two or more frames in a row")
        if not np.all(np.diff(self.times) > 0):
            raise RangeError(
                "frame times that stand still or run back", "rising times", "decode the file again"
            )

    @property
    def frames(self) -> int:
        """How many frames the film has."""
        return len(self.times)

    @property
    def rate(self) -> float:
        """Frames a second by the middle step between frames, so that a few dropped ones do not matter."""
        return float(1 / np.median(np.diff(self.times)))
