"""Who flies in the films of the second bodies, and how: by our own mechanics, momentum kept, all seeds fixed."""

from __future__ import annotations

from dataclasses import dataclass
from math import cos, sin

import numpy as np

from loftbook.mechanics import (
    Body,
    Plan,
    ShapePlan,
    TakeOff,
    angles_at,
    body,
    count_turns,
    fly,
    open_tuck,
    pike,
    straight,
    tuck,
)  # fmt: skip
from loftbook.mechanics.body import ANGLE_NAMES
from loftbook.mechanics.named_shapes import bent
from loftbook.mechanics.shape import ARMS_DOWN, ARMS_UP, shape_as_dict, shape_from
from loftbook.mechanics.shape_plan import plan_of
from training.second_bodies import Looks, skinned

FPS, FALL = 60, 9.81  # frames a second; m/s²
BLACK, BROWN, BLOND = (0.02, 0.015, 0.012), (0.09, 0.045, 0.025), (0.42, 0.28, 0.12)
PALE, TAN, DARK = (0.62, 0.36, 0.26), (0.42, 0.22, 0.13), (0.13, 0.065, 0.04)


@dataclass(frozen=True)
class Film:
    """One film: who, in what shape, how long and how far round, and where the camera stands."""

    seed: int
    shape: str
    who: Body
    looks: Looks
    stout: float
    time: float  # s in the air
    turned: float  # degrees
    yaw: float  # degrees off square
    pixels: float  # a metre at the athlete
    shutter: float  # s
    light: tuple[float, float, float]
    room: tuple[float, float, float]


FILMS = {
    "second-tuck": Film(
        11,
        "tuck",
        body(1.46, "female", age=11),
        Looks(PALE, (0.02, 0.05, 0.3), (0.6, 0.6, 0.65), BROWN, (0.8, 0.8, 0.8), 1.9, 0.12, bun=True),
        1.06,
        1.45,
        700,
        4,
        128,
        1 / 130,
        (0.4, -0.5, 1.0),
        (0.35, 0.4, 0.45),
    ),
    "second-pike": Film(
        12,
        "pike",
        body(1.58, "female", age=15),
        Looks(TAN, (0.35, 0.02, 0.05), (0.05, 0.02, 0.05), BLACK, None, 0.2, 0.0, bun=True),
        1.0,
        1.5,
        695,
        7,
        128,
        1 / 180,
        (0.7, 0.5, 0.9),
        (0.42, 0.38, 0.33),
    ),
    "second-open-tuck": Film(
        13,
        "open tuck",
        body(1.70, "male", age=17),
        Looks(DARK, (0.5, 0.5, 0.5), (0.05, 0.2, 0.1), BLACK, (0.7, 0.7, 0.7), 0.7, 0.6, bun=False),
        1.05,
        1.55,
        695,
        -6,
        120,
        1 / 130,
        (0.9, -0.2, 0.8),
        (0.25, 0.28, 0.25),
    ),
    "second-straight": Film(
        14,
        "straight",
        body(1.62, "female", age=19),
        Looks(PALE, (0.02, 0.02, 0.025), (0.4, 0.3, 0.05), BLOND, None, 0.2, 1.85, bun=False),
        0.96,
        1.6,
        690,
        2,
        118,
        1 / 150,
        (0.3, 0.6, 1.1),
        (0.5, 0.5, 0.5),
    ),
    "second-pike-trousers": Film(
        15,
        "pike",
        body(1.74, "male", age=20),
        Looks(TAN, (0.6, 0.6, 0.62), (0.1, 0.1, 0.3), BROWN, (0.75, 0.75, 0.75), 0.1, 1.9, bun=False),
        1.08,
        1.55,
        700,
        -5,
        120,
        1 / 110,
        (0.2, -0.7, 0.9),
        (0.3, 0.33, 0.4),
    ),
}
SHAPES = {"tuck": tuck(), "pike": pike(), "open tuck": open_tuck(), "straight": straight(arms=ARMS_DOWN)}


@dataclass(frozen=True)
class Course:
    """The movement of a film: shape, turning and mass centre at any time, take-off at 0."""

    film: Film
    plan: Plan
    times: np.ndarray
    angle: np.ndarray
    rise: float
    base: float

    def at(self, t: float) -> tuple[dict[str, float], float, np.ndarray]:
        """Joint angles, turning (rad) and mass centre (m) at a time."""
        T, slow = self.film.time, 0.11
        inside = float(np.clip(t, 0, T))
        given = dict(zip(ANGLE_NAMES, angles_at(self.plan, np.array([inside]))[0], strict=True))
        turned = float(np.interp(inside, self.times, self.angle))
        spin = (self.angle[1] - self.angle[0]) if t < 0 else (self.angle[-1] - self.angle[-2])
        spin /= self.times[1] - self.times[0]
        z = self.base + self.rise * inside - FALL * inside**2 / 2
        beyond = t - inside
        if beyond:
            turned += spin * slow * np.sign(beyond) * (1 - np.exp(-abs(beyond) / slow))
            speed = self.rise if beyond < 0 else self.rise - FALL * T
            z += speed / 9.0 * sin(9.0 * beyond)
            bent_now = shape_as_dict(bent(hip=0.55, knee=0.7, arms=ARMS_UP if beyond < 0 else ARMS_DOWN))
            share = min(abs(beyond) / 0.25, 1.0)
            given = {k: (1 - share) * v + share * bent_now.get(k, 0.0) for k, v in given.items()}
        return given, turned, np.array([0.0, 0.25 - 0.35 * inside, z])


def course_of(film: Film) -> Course:
    """The flight whose momentum turns her as far as asked, found by halving."""
    plan = plan_of(ShapePlan(SHAPES[film.shape]), film.time)
    low, high = 0.1, 3.0
    for _ in range(26):
        middle = (low + high) / 2
        flight = fly(film.who, plan, TakeOff(momentum=(middle, 0, 0)), duration=film.time, steps=256)
        if count_turns(flight).somersaults * 360 > film.turned:
            high = middle
        else:
            low = middle
    q = flight.orientations
    angle = np.unwrap(2 * np.arctan2(q[:, 1], q[:, 0]))
    feet = [_lowest(film, plan, t, a) for t, a in ((0.0, angle[0]), (film.time, angle[-1]))]
    rise = (feet[0] - feet[1]) / film.time + FALL * film.time / 2
    return Course(film, plan, flight.times, angle, rise, -feet[0])


def turning(angle: float) -> np.ndarray:
    """About the axis to the right."""
    return np.array([[1, 0, 0], [0, cos(angle), -sin(angle)], [0, sin(angle), cos(angle)]])


def _lowest(film: Film, plan: Plan, t: float, angle: float) -> float:
    given = dict(zip(ANGLE_NAMES, angles_at(plan, np.array([t]))[0], strict=True))
    corners, *_ = skinned(film.who, shape_from(given), film.looks, film.stout)
    return float((corners @ turning(angle).T)[:, 2].min())
