"""The only conversions between what people write and what the program computes with.

Inside, everything is SI and radians. A name that is not SI carries its unit
(`height_cm`, `lean_deg`). The constants turn one unit into SI by multiplication:
``8 * millisecond`` is eight milliseconds in seconds.
"""

from __future__ import annotations

from math import pi

degree = pi / 180.0
turn = 2.0 * pi
centimetre = 0.01
millimetre = 0.001
millisecond = 0.001


def metres_from_cm(height_cm: float) -> float:
    """A height in centimetres, in metres.

    >>> metres_from_cm(143)
    1.43
    """
    return height_cm / 100.0


def cm_from_metres(height: float) -> float:
    """A height in metres, in centimetres, to a tenth of a millimetre.

    >>> cm_from_metres(1.43)
    143.0
    """
    return round(height * 100.0, 2)


def degrees_from_radians(angle: float) -> float:
    """An angle in radians, in degrees.

    >>> degrees_from_radians(pi)
    180.0
    """
    return angle / degree


def radians_from_degrees(angle_deg: float) -> float:
    """An angle in degrees, in radians.

    >>> round(radians_from_degrees(180), 4)
    3.1416
    """
    return angle_deg * degree


def seconds_from_frames(frames: float, *, fps: float) -> float:
    """How long a number of film frames lasts, in seconds.

    >>> seconds_from_frames(93, fps=60)
    1.55
    """
    return frames / fps
