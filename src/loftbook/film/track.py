"""Where the joints were in the picture, frame by frame, by a pose model, by hand or by both."""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from loftbook.errors import ShapeError

Array = NDArray[np.float64]
Flags = NDArray[np.bool_]

SIDED = ("ear", "shoulder", "elbow", "wrist", "hip", "knee", "ankle", "heel", "toe")
JOINTS = ("nose", *(f"{side}_{name}" for name in SIDED for side in ("left", "right")))
COLUMN = {name: n for n, name in enumerate(JOINTS)}
MIDDLES = (
    "shoulder",
    "hip",
    "knee",
    "ankle",
    "elbow",
    "wrist",
)  # of left and right, what our own network sees

LARGEST_APART = 0.35  # of the trunk: above it two answers name different places
# where a point of a track comes from
MISSING, BY_MODEL, BY_HAND, BY_PHYSICS = 0, 1, 2, 3


@dataclass(frozen=True, eq=False)
class Silhouette:
    """What differs from the still background, as a witness that knows no joints.

    Units
        axis : (N,) rad, long axis of the moving patch, turning against the clock, unwrapped, 0 upright; NaN unknown
        middle : (N, 2) px; area : (N,) px²
    """

    axis: Array
    middle: Array
    area: Array


@dataclass(frozen=True, eq=False)
class SecondEyes:
    """What our own network saw beside the stock model: middles of left and right as points of their own.

    Units
        middles : (N, 6, 2) px in the order of `MIDDLES`; spread : (N, 6) px, one standard deviation
        confidence : (N,) from 0 to 1, the least share of likelihood near the point, of shoulder, hip, knee and ankle;
        0 where the point it names cannot be hers
        apart : (N,) distance to the stock model's middles as a share of the trunk, the largest of four
        used : (N,) whether they have a say in this frame; sure : (N,) whether the frame is to be trusted
        name : the network, its version and digest
    """

    middles: Array
    spread: Array
    confidence: Array
    apart: Array
    used: Flags
    sure: Flags
    name: str


@dataclass(frozen=True, eq=False)
class Track:
    """The joints of one athlete through a clip, in pixels, each with how sure it is and where it comes from.

    Units
        times : (N,) s, as in the clip (only the frames that were tracked)
        frames : (N,) index of each in the clip
        points : (N, 19, 2) px in the order of `JOINTS`, x right, y down; NaN where unknown
        spread : (N, 19) px, one standard deviation; NaN where unknown
        origin : (N, 19) of MISSING, BY_MODEL, BY_HAND, BY_PHYSICS
        apart : (N,) distance between the forward and the backward pass as a share of the trunk's length; NaN where
        only one pass ran. Above 0.35 the passes disagree in that frame.
        width, height : px of the upright picture; detector : name and digest of what made it
        edges : (E, 6) what lies in the still background, as `film.edges` tells it; None where nobody looked
        second : what our own network saw, None where it did not look

    Valid
        a model's own confidence is no measure of reliability and is not kept; the passes' distance is a flag for the
        clip, not for a frame

    Raises
        ShapeError when the arrays do not belong together

    Example
        >>> n = 3
        >>> track = Track(np.arange(n) / 60, np.arange(n), np.zeros((n, 19, 2)), np.ones((n, 19)),
        ...     np.full((n, 19), BY_HAND), np.full(n, np.nan), 1280, 720, "clicked by hand")
        >>> track.of("left_hip").shape, track.middle("hip").shape
        ((3, 2), (3, 2))
    """

    times: Array
    frames: NDArray[np.int64]
    points: Array
    spread: Array
    origin: NDArray[np.int64]
    apart: Array
    width: int
    height: int
    detector: str
    silhouette: Silhouette | None = None
    notes: tuple[str, ...] = field(default=())
    edges: Array | None = None
    second: SecondEyes | None = None

    def __post_init__(self) -> None:
        """Refuse arrays that do not belong together."""
        n = len(self.times)
        expected = {
            "frames": (n,),
            "points": (n, len(JOINTS), 2),
            "spread": (n, len(JOINTS)),
            "origin": (n, len(JOINTS)),
            "apart": (n,),
        }
        for name, shape in expected.items():
            found = np.shape(getattr(self, name))
            if found != shape:
                raise ShapeError(f"{name} of shape {found}", f"{shape}", "frames come first, then joints")

    @property
    def quarrels(self) -> Flags:
        """In which frames two opinions name different places: the two passes, or the two pairs of eyes."""
        if self.second is not None:
            return ~self.second.sure
        return np.asarray(np.nan_to_num(self.apart, nan=0.0) > LARGEST_APART)

    @property
    def uncounted(self) -> Flags:
        """In which frames the trunk's direction is not to be counted with: the passes disagree, and no other eyes help.

        Fewer than the quarrels of two pairs of eyes, which mostly are about knees and feet: turns are counted from
        frame to frame, and a long gap loses one.
        """
        apart = np.nan_to_num(self.apart, nan=0.0) > LARGEST_APART
        return np.asarray(apart if self.second is None else apart & ~self.second.used)

    def of(self, joint: str) -> Array:
        """One joint through time, (N, 2) px."""
        return self.points[:, COLUMN[joint]]

    def middle(self, joint: str) -> Array:
        """The middle between left and right of a joint, (N, 2) px; the seen one where only one is.

        Where our own network's eyes are used it is the middle that they saw: left and right lie round it.
        """
        columns = [COLUMN[f"left_{joint}"], COLUMN[f"right_{joint}"]]
        both = self.points[:, columns]
        seen = np.isfinite(both)
        count = seen.sum(axis=1)
        total = np.where(seen, both, 0.0).sum(axis=1)
        return np.where(count > 0, total / np.maximum(count, 1), np.nan)

    def middle_spread(self, joint: str) -> Array:
        """One standard deviation of that middle, (N,) px; NaN where it is unknown."""
        both = self.spread[:, [COLUMN[f"left_{joint}"], COLUMN[f"right_{joint}"]]]
        seen = np.isfinite(both)
        total = np.where(seen, both, 0.0).sum(axis=1)
        return np.where(seen.any(axis=1), total / np.maximum(seen.sum(axis=1), 1), np.nan)
