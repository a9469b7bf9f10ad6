"""Markers as a TRC file: the open text format for marker positions that biomechanics programs read."""

from __future__ import annotations

import numpy as np

from loftbook.film.exports.table import TimeCourse


def trc_text(course: TimeCourse, name: str) -> str:
    r"""The markers of a clip as a TRC text.

    Units
        metres; x to the right in the picture, y up, z towards the camera (always 0)
        times are the film's own, so that dropped frames stay visible; an unknown position is left empty

    Source
        the layout as it is commonly written (five lines of head, then an empty one); there is no standard to cite

    Example
        >>> course = TimeCourse(np.array([0.0, 0.5]), np.arange(2), {}, np.full((2, 1, 3), 0.25), ("nose",), 2.0)
        >>> trc_text(course, "a.trc").splitlines()[3:5]
        ['Frame#\tTime\tnose\t\t', '\t\tX1\tY1\tZ1']
    """
    count, rate = len(course.names), f"{course.rate:.6g}"
    frames = len(course.times)
    head = [
        f"PathFileType\t4\t(X/Y/Z)\t{name}",
        "DataRate\tCameraRate\tNumFrames\tNumMarkers\tUnits\tOrigDataRate\tOrigDataStartFrame\tOrigNumFrames",
        f"{rate}\t{rate}\t{frames}\t{count}\tm\t{rate}\t1\t{frames}",
        "Frame#\tTime\t" + "\t".join(f"{marker}\t\t" for marker in course.names),
        "\t\t" + "\t".join(f"X{k}\tY{k}\tZ{k}" for k in range(1, count + 1)),
        "",
    ]
    rows = [
        "\t".join([str(n + 1), f"{time:.6f}", *map(_place, course.markers[n].ravel())])
        for n, time in enumerate(course.times)
    ]
    return "\n".join([*head, *rows]) + "\n"


def _place(value: float) -> str:
    return f"{value:.6f}" if np.isfinite(value) else ""
