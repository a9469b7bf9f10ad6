"""Compiled inertia and momentum of a shape, folded from hands and feet inwards: the quick way, for flights.

Each segment gathers what hangs on it (mass, first moment, inertia, momentum), turns it by its own joint and hands it to
its parent. A limb that has not moved since the last instant is not worked out again. `kernel.shape_state` does the same
sum by placing every segment in the pelvis's frame; tests hold the two against each other.
"""

from __future__ import annotations

from math import cos, sin
from typing import NamedTuple

import numpy as np
import numpy.typing as npt

from loftbook.mechanics.arrays import Array, Indices, Skeleton
from loftbook.mechanics.kernel import Scratch, compiled, finish_state

# What a segment holds or hands on, about its joint: first moment x y z; inertia xx yy zz xy xz yz; momentum x y z;
# angular momentum x y z.
PARCEL = 15
Parcel = tuple[
    float, float, float, float, float, float, float, float, float, float, float, float, float, float, float
]


class Fold(NamedTuple):
    """Working memory of the folding: what each segment is by itself, and what it last handed to its parent."""

    own: Array
    mass: Array
    handed: Array
    stale: npt.NDArray[np.bool_]
    child_start: Indices
    children: Indices


@compiled
def fold_for(skeleton: Skeleton) -> Fold:
    """Working memory for a skeleton, nothing folded yet."""
    count = skeleton.parents.size
    own, mass = np.zeros((count, PARCEL)), skeleton.fractions.copy()
    child_start, children = np.zeros(count + 1, np.int64), np.zeros(count, np.int64)
    for i in range(count):
        m = skeleton.fractions[i]
        x, y, z = skeleton.centres[i, 0], skeleton.centres[i, 1], skeleton.centres[i, 2]
        own[i, 0], own[i, 1], own[i, 2] = m * x, m * y, m * z
        own[i, 3] = skeleton.inertias[i, 0] + m * (y * y + z * z)
        own[i, 4] = skeleton.inertias[i, 1] + m * (x * x + z * z)
        own[i, 5] = skeleton.inertias[i, 2] + m * (x * x + y * y)
        own[i, 6], own[i, 7], own[i, 8] = -m * x * y, -m * x * z, -m * y * z
        place = child_start[i]
        for j in range(i + 1, count):
            if skeleton.parents[j] == i:
                children[place] = j
                place += 1
        child_start[i + 1] = place
    for i in range(count - 1, 0, -1):
        mass[skeleton.parents[i]] += mass[i]
    return Fold(own, mass, np.zeros((count, PARCEL)), np.ones(count, np.bool_), child_start, children)


@compiled
def about_x(p: Parcel, s: float, c: float, rate: float) -> Parcel:
    """A parcel turned about x by the angle with this sine and cosine, and what the turn's rate carries."""
    x, y, z, xx, yy, zz, xy, xz, yz, px, py, pz, hx, hy, hz = p
    y, z = c * y - s * z, s * y + c * z
    py, pz = c * py - s * pz, s * py + c * pz
    hy, hz = c * hy - s * hz, s * hy + c * hz
    xy, xz = c * xy - s * xz, s * xy + c * xz
    moved = s * s * (zz - yy) - 2.0 * s * c * yz
    yz = s * c * (yy - zz) + (c * c - s * s) * yz
    yy, zz = yy + moved, zz - moved
    return (
        x, y, z, xx, yy, zz, xy, xz, yz,
        px, py - rate * z, pz + rate * y, hx + rate * xx, hy + rate * xy, hz + rate * xz,
    )  # fmt: skip


@compiled
def onwards(p: Parcel) -> Parcel:
    """The same parcel with its axes named anew: y is called x, z is called y, x is called z."""
    x, y, z, xx, yy, zz, xy, xz, yz, px, py, pz, hx, hy, hz = p
    return y, z, x, yy, zz, xx, yz, xy, xz, py, pz, px, hy, hz, hx


@compiled
def turned(p: Parcel, axis: int, s: float, c: float, rate: float) -> Parcel:
    """A parcel turned about x, y or z (0, 1, 2)."""
    if axis == 0:
        return about_x(p, s, c, rate)
    if axis == 1:
        return onwards(onwards(about_x(onwards(p), s, c, rate)))
    return onwards(about_x(onwards(onwards(p)), s, c, rate))


@compiled
def shifted(p: Parcel, mass: float, offset: Array) -> Parcel:
    """A parcel seen from the parent's joint, `offset` away."""
    x, y, z, xx, yy, zz, xy, xz, yz, px, py, pz, hx, hy, hz = p
    u, v, w = offset[0], offset[1], offset[2]
    mu, mv, mw = mass * u, mass * v, mass * w
    xx += 2.0 * (y * v + z * w) + mv * v + mw * w
    yy += 2.0 * (x * u + z * w) + mu * u + mw * w
    zz += 2.0 * (x * u + y * v) + mu * u + mv * v
    xy -= x * v + y * u + mu * v
    xz -= x * w + z * u + mu * w
    yz -= y * w + z * v + mv * w
    return (
        x + mu, y + mv, z + mw, xx, yy, zz, xy, xz, yz,
        px, py, pz, hx + v * pz - w * py, hy + w * px - u * pz, hz + u * py - v * px,
    )  # fmt: skip


@compiled
def gathered(fold: Fold, i: int) -> Parcel:
    """What segment i is by itself and what its children handed to it."""
    own = fold.own
    x, y, z = own[i, 0], own[i, 1], own[i, 2]
    xx, yy, zz, xy, xz, yz = own[i, 3], own[i, 4], own[i, 5], own[i, 6], own[i, 7], own[i, 8]
    px = py = pz = hx = hy = hz = 0.0
    for n in range(fold.child_start[i], fold.child_start[i + 1]):
        p = fold.handed[fold.children[n]]
        x, y, z = x + p[0], y + p[1], z + p[2]
        xx, yy, zz = xx + p[3], yy + p[4], zz + p[5]
        xy, xz, yz = xy + p[6], xz + p[7], yz + p[8]
        px, py, pz = px + p[9], py + p[10], pz + p[11]
        hx, hy, hz = hx + p[12], hy + p[13], hz + p[14]
    return x, y, z, xx, yy, zz, xy, xz, yz, px, py, pz, hx, hy, hz


@compiled
def folded_state(skeleton: Skeleton, scratch: Scratch, fold: Fold, state: Array) -> None:
    """State of the shape from the angles and rates in scratch, where `scratch.changed` says which are new."""
    for i in range(skeleton.parents.size - 1, 0, -1):
        stale = fold.stale[i]
        for k in range(skeleton.turn_start[i], skeleton.turn_start[i + 1]):
            stale = stale or scratch.changed[skeleton.turn_angle[k]]
        if not stale:
            continue
        fold.stale[i] = False
        fold.stale[skeleton.parents[i]] = True
        parcel = gathered(fold, i)
        for k in range(skeleton.turn_start[i + 1] - 1, skeleton.turn_start[i] - 1, -1):
            d, share = skeleton.turn_angle[k], skeleton.turn_share[k]
            angle = share * scratch.values[d]
            if angle != scratch.angle[k]:
                scratch.angle[k], scratch.sine[k], scratch.cosine[k] = angle, sin(angle), cos(angle)
            rate = share * scratch.rates[d]
            if rate != 0.0 or scratch.sine[k] != 0.0 or scratch.cosine[k] != 1.0:
                parcel = turned(parcel, skeleton.turn_axis[k], scratch.sine[k], scratch.cosine[k], rate)
        parcel = shifted(parcel, fold.mass[i], skeleton.offsets[i])
        for a in range(PARCEL):
            fold.handed[i, a] = parcel[a]
    fold.stale[0] = False
    x, y, z, xx, yy, zz, xy, xz, yz, px, py, pz, hx, hy, hz = gathered(fold, 0)
    state[0], state[1], state[2], state[3], state[4], state[5] = xx, yy, zz, xy, xz, yz
    state[6], state[7], state[8], state[9], state[10], state[11] = hx, hy, hz, x, y, z
    state[12], state[13], state[14] = px, py, pz
    finish_state(state)
