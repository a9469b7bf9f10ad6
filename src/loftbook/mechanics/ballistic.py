"""The path of the mass centre: a parabola, whatever the limbs do.

Time of flight gives height, and the other way round; nothing about the body is needed.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import isfinite, sqrt

import numpy as np

from loftbook.errors import RangeError
from loftbook.mechanics.arrays import Array

GRAVITY = (
    9.81  # m/s²; over the inhabited Earth 9.77 to 9.83 (0.3 % either way), so a local value may be given
)


@dataclass(frozen=True)
class Arc:
    """One flight of the mass centre, with what its timing leaves uncertain.

    Units
        time : s in the air; drop : m, how much lower the mass centre is at landing than at take-off
        take_off_speed, landing_speed : m/s, vertical, upward and downward; forward_speed : m/s
        height : m, rise of the mass centre above its place at take-off; travel : m, forward
        time_uncertainty, height_uncertainty, speed_uncertainty : standard, s, m, m/s
        gravity : m/s²
    """

    time: float
    drop: float
    travel: float
    take_off_speed: float
    landing_speed: float
    forward_speed: float
    height: float
    time_uncertainty: float
    height_uncertainty: float
    speed_uncertainty: float
    gravity: float


def arc_of_time(
    time: float, *, drop: float = 0.0, travel: float = 0.0, timing: float = 0.0, gravity: float = GRAVITY
) -> Arc:
    """How high and how fast somebody left, from the time in the air.

    Units
        time : s; timing : s, standard uncertainty of that time
        drop : m, how much lower the mass centre is at landing than at take-off, negative when it is higher. Two equal
        levels of the surfaces are not enough: landing with arms down or bent legs lowers the mass centre.
        travel : m, forward positive

    Valid
        no air resistance: at trampoline speeds its pull stays near one per cent of gravity

    Raises
        RangeError for no or negative time, a drop too deep to be reached by a jump upwards in that time, or a
        landing so high that the body would still be rising

    Source
        law: uniform acceleration, -drop = v T - g T² / 2

    Example
        >>> round(arc_of_time(1.6).height, 2)
        3.14
        >>> round(arc_of_time(1.6, timing=0.02).height_uncertainty, 3)
        0.078
    """
    _check(time=time, timing=timing, gravity=gravity)
    _check_travel(travel)
    speed = gravity * time / 2 - drop / time
    if not isfinite(speed) or speed < 0:
        raise RangeError(
            f"a landing {drop:g} m lower after {time:g} s",
            f"at most {gravity * time**2 / 2:.2f} m, what a free fall reaches in that time",
            "check the drop; it is in metres and positive when the landing is lower",
        )
    if speed > gravity * time:
        raise RangeError(
            f"a landing {-drop:g} m higher after {time:g} s, still rising",
            f"at most {gravity * time**2 / 2:.2f} m, where the rise ends",
            "check the drop; it is in metres and negative when the landing is higher",
        )
    slope = gravity / 2 + drop / time**2
    return Arc(
        time=time,
        drop=drop,
        travel=travel,
        take_off_speed=speed,
        landing_speed=gravity * time - speed,
        forward_speed=travel / time,
        height=speed**2 / (2 * gravity),
        time_uncertainty=timing,
        height_uncertainty=speed / gravity * abs(slope) * timing,
        speed_uncertainty=abs(slope) * timing,
        gravity=gravity,
    )


def arc_of_height(height: float, *, drop: float = 0.0, travel: float = 0.0, gravity: float = GRAVITY) -> Arc:
    """How long somebody stays in the air who rises this high.

    Units
        height : m, rise of the mass centre; drop, travel : m, as in `arc_of_time`

    Valid
        as `arc_of_time`

    Raises
        RangeError for no or negative height, or a landing above the highest point

    Source
        law: v = sqrt(2 g h); T = v / g + sqrt(2 (h + drop) / g)

    Example
        >>> round(arc_of_height(3.1392).time, 3)
        1.6
    """
    _check(height=height, gravity=gravity)
    _check_travel(travel)
    if not (isfinite(drop) and height + drop > 0):
        raise RangeError(
            f"a landing {-drop:g} m above the take-off with a rise of {height:g} m",
            "a rise that reaches above the landing",
            "check height and drop, in metres",
        )
    time = sqrt(2 * height / gravity) + sqrt(2 * (height + drop) / gravity)
    return arc_of_time(time, drop=drop, travel=travel, gravity=gravity)


def mass_centre_path(arc: Arc, times: Array) -> Array:
    """Where the mass centre is at each instant, from its place at take-off.

    Units
        times : (N,) s after take-off; returns (N, 3) m: right, forward, up

    Source
        law: uniform acceleration downwards

    Example
        >>> path = mass_centre_path(arc_of_time(1.0), np.array([0.0, 0.5, 1.0]))
        >>> path[:, 2].round(3).tolist()
        [0.0, 1.226, 0.0]
    """
    t = np.asarray(times, dtype=float)
    up = arc.take_off_speed * t - arc.gravity * t**2 / 2
    return np.stack([np.zeros_like(t), arc.forward_speed * t, up], axis=-1)


def _check_travel(travel: float) -> None:
    if not (isfinite(travel) and abs(travel) <= 100):
        raise RangeError(f"a travel of {travel!r} m", "up to 100 m either way", "give metres")


def _check(**given: float) -> None:
    for name, value in given.items():
        if not isfinite(value) or value < 0 or (value == 0 and name != "timing"):
            raise RangeError(f"{name} of {value!r}", "a positive number", "give seconds and metres")
    time, height = given.get("time", 1.0), given.get("height", 1.0)
    if time > 10:
        raise RangeError(
            f"a flight of {time:g} s", "at most 10 s", "milliseconds or frames must be made seconds"
        )
    if height > 100:
        raise RangeError(f"a rise of {height:g} m", "at most 100 m", "centimetres must be made metres")
