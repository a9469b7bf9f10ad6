"""The time course of one clip as plain columns and markers, whatever file it is then written to."""

from __future__ import annotations

import csv
import io
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from loftbook.errors import ShapeError

Array = NDArray[np.float64]


@dataclass(frozen=True, eq=False)
class TimeCourse:
    """What the body did, frame by frame, as columns for a table and markers in metres.

    Units
        times : (N,) s from the clip's first frame; frames : (N,) number of each in the clip
        columns : name with its unit ("hip_deg", "height_m") -> (N,), NaN where unknown
        markers : (N, K, 3) m, x to the right in the picture, y up, z towards the camera (always 0: one camera sees
        no depth); NaN where unknown. Empty (N, 0, 3) where the clip gave no scale.
        names : of the K markers; rate : frames a second

    Raises
        ShapeError when the arrays do not belong together

    Example
        >>> course = TimeCourse(np.arange(3) / 60, np.arange(3), {"hip_deg": np.array([180.0, 90.0, np.nan])},
        ...     np.zeros((3, 1, 3)), ("nose",), 60.0)
        >>> course_csv(course).splitlines()[-1]
        '2,0.033333,,0,0'
    """

    times: Array
    frames: NDArray[np.int64]
    columns: dict[str, Array]
    markers: Array
    names: tuple[str, ...]
    rate: float

    def __post_init__(self) -> None:
        """Refuse arrays that do not belong together."""
        n = len(self.times)
        lengths = {name: len(values) for name, values in self.columns.items()} | {"frames": len(self.frames)}
        wrong = [name for name, length in lengths.items() if length != n]
        if wrong:
            raise ShapeError(f"{wrong[0]} with {lengths[wrong[0]]} values", f"{n}, one for each frame")
        if self.markers.shape != (n, len(self.names), 3):
            raise ShapeError(f"markers of shape {self.markers.shape}", f"{(n, len(self.names), 3)}")


def table_of(course: TimeCourse) -> dict[str, Array | NDArray[np.int64]]:
    """Every column by its name: frame, time, the curves, then each marker's x and y in metres.

    Example
        >>> course = TimeCourse(np.zeros(1), np.zeros(1, dtype=np.int64), {}, np.ones((1, 1, 3)), ("nose",), 60.0)
        >>> list(table_of(course))
        ['frame', 'time_s', 'nose_x_m', 'nose_y_m']
    """
    table: dict[str, Array | NDArray[np.int64]] = {"frame": course.frames, "time_s": course.times}
    table |= course.columns
    for k, name in enumerate(course.names):
        table |= {f"{name}_x_m": course.markers[:, k, 0], f"{name}_y_m": course.markers[:, k, 1]}
    return table


def course_csv(course: TimeCourse) -> str:
    """The table as CSV: a comma between fields, a point in numbers, an empty field where nothing is known.

    Source
        RFC 4180, with a line feed at the end of lines
    """
    table = table_of(course)
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow(table)
    for row in zip(*table.values(), strict=True):
        writer.writerow([_field(value) for value in row])
    return out.getvalue()


def _field(value: float | np.int64) -> str:
    if isinstance(value, int | np.integer):
        return str(int(value))
    return f"{value:.6f}".rstrip("0").rstrip(".") if np.isfinite(value) else ""


def even(course: TimeCourse) -> tuple[Array, Array]:
    """Markers at even steps, for files that know a rate and no times.

    Returns
        times (M,) s and markers (M, K, 3) m. Where the film's frames are even already they are the film's own;
        else each is drawn straight between the two frames beside it, and is unknown where one of them is.

    Example
        >>> course = TimeCourse(np.array([0, 0.1, 0.3]), np.arange(3), {}, np.zeros((3, 1, 3)), ("nose",), 10.0)
        >>> [round(float(t), 3) for t in even(course)[0]]
        [0.0, 0.1, 0.2, 0.3]
    """
    step = 1 / course.rate
    if len(course.times) < 2 or np.allclose(np.diff(course.times), step, atol=0.05 * step):
        return course.times, course.markers
    times = course.times[0] + step * np.arange(round((course.times[-1] - course.times[0]) / step) + 1)
    later = np.clip(np.searchsorted(course.times, times - 1e-9), 1, len(course.times) - 1)
    before = course.times[later - 1]
    share = np.clip((times - before) / (course.times[later] - before), 0, 1)[:, None, None]
    drawn = course.markers[later - 1] * (1 - share) + course.markers[later] * share
    # At a frame itself a neighbour that is unknown says nothing against it.
    drawn = np.where(share > 1 - 1e-6, course.markers[later], drawn)
    return times, np.where(share < 1e-6, course.markers[later - 1], drawn)
