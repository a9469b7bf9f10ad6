"""Painted halls: a bed in perspective among wall bars, bricks, mats and bystanders, whose level is known.

The line of a bed is found in them as in a film. They are invented: flat colours, straight rims, a little noise.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from loftbook.mechanics.arrays import Array

Project = Callable[[Array], Array]  # (N, 3) m, right, away and up, to (N, 2) px
LONG, WIDE, PAD = (
    2.14,
    1.07,
    0.35,
)  # m: halves of a bed of 4.28 × 2.14 m, and the pads round it; common practice


@dataclass(frozen=True)
class Hall:
    """What is painted, by chance with a seed.

    Units
        level : m, of the bed; x, away : m, the middle of the bed; bed : whether there is one
        mat : m, how thick a mat lies on it, 0 none
    """

    seed: int
    level: float
    x: float
    away: float
    bed: bool = True
    mat: float = 0.0


def painted(hall: Hall, project: Project, size: tuple[int, int]) -> Array:
    """The hall as a picture, (H, W, 3) of 255."""
    chance = np.random.default_rng(hall.seed)
    picture = np.ones((size[1], size[0], 3)) * chance.uniform(60, 200, 3)
    for corners, colour in _wall(hall, chance) + _floor(hall, chance):
        _fill(picture, project(np.array(corners)), colour)
    _bystanders(picture, hall, chance, project, behind=True)
    rims = project(np.array([(hall.x, hall.away + side * WIDE, hall.level) for side in (1, -1)]))[:, 1]
    if hall.bed:
        for corners, colour in _bed(hall, chance, above=bool(rims[0] < rims[1])):
            _fill(picture, project(np.array(corners)), colour)
    _bystanders(picture, hall, chance, project, behind=False)
    noisy = picture + chance.normal(0, 1.5, picture.shape)
    return np.clip(np.round(noisy), 0, 255)


Quad = tuple[list[tuple[float, float, float]], Array]


def _wall(hall: Hall, chance: np.random.Generator) -> list[Quad]:
    """A wall some metres behind with a dado, bars or rows of bricks, and posters."""
    y, low = hall.away + chance.uniform(2.5, 6), hall.level - 1.1
    out = [_upright(hall.x - 12, hall.x + 12, low, low + chance.uniform(1, 3), y, chance.uniform(20, 220, 3))]
    bar = chance.uniform(20, 200, 3)
    whole = bool(chance.random() < 0.5)
    panels = [(-12.0, 12.0)] if whole else [(c - 0.9, c + 0.9) for c in (-4.0, 0.5, 4.5)]
    apart, thick = (0.15, 0.035) if chance.random() < 0.6 else (0.25, 0.012)
    for left, right in panels:
        for z in np.arange(low, low + 3.0, apart):
            out.append(_upright(hall.x + left, hall.x + right, z, z + thick, y - 0.1, bar))
    for _ in range(4):
        left, z = hall.x + chance.uniform(-6, 5), low + chance.uniform(0.2, 3)
        out.append(
            _upright(left, left + chance.uniform(0.5, 2.5), z, z + 0.8, y - 0.12, chance.uniform(0, 255, 3))
        )
    return out


def _floor(hall: Hall, chance: np.random.Generator) -> list[Quad]:
    low = hall.level - 1.1
    far, near = hall.away + 2.5, hall.away - 3.0
    out = [_flat(hall.x - 12, hall.x + 12, near, far, low, chance.uniform(40, 200, 3))]
    for side in (-1, 1):  # the end decks with their mats
        middle, top = hall.x + side * (LONG + PAD + 1.2), hall.level + chance.uniform(-0.3, 0.25)
        colour = chance.uniform(20, 230, 3)
        out.append(_upright(middle - 1.1, middle + 1.1, low, top, hall.away - 1.3, 0.6 * colour))
        out.append(_flat(middle - 1.1, middle + 1.1, hall.away - 1.3, hall.away + 1.3, top, colour))
    return out


def _bed(hall: Hall, chance: np.random.Generator, *, above: bool) -> list[Quad]:
    """A bed with pads, and a mat on it; from below nothing shows but the faces of the pads and the mat."""
    pad, cloth, mat = (
        chance.uniform(10, 200, 3),
        np.ones(3) * chance.uniform(30, 250),
        chance.uniform(10, 240, 3),
    )
    while np.linalg.norm(pad - cloth) < 60:
        pad = chance.uniform(10, 200, 3)
    x, y, z = hall.x, hall.away, hall.level
    long, wide = LONG + PAD, WIDE + PAD
    face = _upright(x - long, x + long, z - 0.12, z, y - wide, 0.6 * pad)
    over = [
        _flat(x - long, x + long, y - wide, y + wide, z, pad),
        _flat(x - LONG, x + LONG, y - WIDE, y + WIDE, z, cloth),
        _flat(x - 0.9, x + 0.9, y - 0.02, y + 0.02, z, np.array([200.0, 30, 30])),
    ]
    if hall.mat:
        top = z + hall.mat
        over.append(_upright(x - 1.5, x + 1.5, z, top, y - 0.9, 0.7 * mat))
        over.append(_flat(x - 1.5, x + 1.5, y - 0.9, y + 0.9, top, mat))
    return [*over, face] if above else [*over[3:4], face]


def _bystanders(
    picture: Array, hall: Hall, chance: np.random.Generator, project: Project, *, behind: bool
) -> None:
    y = hall.away + (1.9 if behind else -1.9)
    for _ in range(2):
        x, low = hall.x + chance.uniform(-3.5, 3.5), hall.level - 1.1
        if not behind and abs(x - hall.x) < 1.0:
            continue
        corners, colour = _upright(x - 0.2, x + 0.2, low, low + 1.6, y, chance.uniform(0, 255, 3))
        _fill(picture, project(np.array(corners)), colour)


def _flat(left: float, right: float, near: float, far: float, up: float, colour: Array) -> Quad:
    return [(left, near, up), (right, near, up), (right, far, up), (left, far, up)], colour


def _upright(left: float, right: float, low: float, high: float, away: float, colour: Array) -> Quad:
    return [(left, away, low), (right, away, low), (right, away, high), (left, away, high)], colour


def _fill(picture: Array, corners: Array, colour: Array) -> None:
    """Paint a convex polygon, its rims a pixel soft."""
    high, wide = picture.shape[:2]
    box = np.array([np.floor(corners.min(axis=0)) - 1, np.ceil(corners.max(axis=0)) + 2])
    left, top = np.clip(box[0], 0, (wide, high)).astype(int)
    right, bottom = np.clip(box[1], 0, (wide, high)).astype(int)
    if right <= left or bottom <= top:
        return
    # a pixel's middle lies half a pixel in
    x, y = np.meshgrid(np.arange(left, right) + 0.5, np.arange(top, bottom) + 0.5)
    following = np.roll(corners, -1, axis=0)
    turn = np.sign(np.sum(corners[:, 0] * following[:, 1] - following[:, 0] * corners[:, 1]))
    cover = np.ones_like(x)
    for (ax, ay), (bx, by) in zip(corners, following, strict=True):
        length = max(float(np.hypot(bx - ax, by - ay)), 1e-9)
        away = turn * ((bx - ax) * (y - ay) - (by - ay) * (x - ax)) / length
        cover = np.minimum(cover, np.clip(away + 0.5, 0.0, 1.0))
    part = picture[top:bottom, left:right]
    part += cover[..., None] * (colour - part)
