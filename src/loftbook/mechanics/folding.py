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
def turn_about(
    parcel: Array,
    axes: tuple[int, int, int],
    products: tuple[int, int, int],
    turn: tuple[float, float, float],
) -> None:
    """Turn a parcel about the first of three axes; products are the places of the inertia's mixed terms."""
    a, b, e = axes
    ab, ae, be = products
    s, c, rate = turn
    if s != 0.0 or c != 1.0:
        for first in (0, 9, 12):
            u, v = parcel[first + b], parcel[first + e]
            parcel[first + b], parcel[first + e] = c * u - s * v, s * u + c * v
        u, v = parcel[ab], parcel[ae]
        parcel[ab], parcel[ae] = c * u - s * v, s * u + c * v
        u, v, w = parcel[3 + b], parcel[3 + e], parcel[be]
        moved = s * s * (v - u) - 2.0 * s * c * w
        parcel[3 + b], parcel[3 + e] = u + moved, v - moved
        parcel[be] = s * c * (u - v) + (c * c - s * s) * w
    if rate != 0.0:
        parcel[9 + b] -= rate * parcel[e]
        parcel[9 + e] += rate * parcel[b]
        parcel[12 + a] += rate * parcel[3 + a]
        parcel[12 + b] += rate * parcel[ab]
        parcel[12 + e] += rate * parcel[ae]


@compiled
def turn_parcel(skeleton: Skeleton, scratch: Scratch, k: int, parcel: Array) -> None:
    """Turn a parcel by the k-th turn, and add what the turn's rate carries."""
    d, share = skeleton.turn_angle[k], skeleton.turn_share[k]
    angle, rate = share * scratch.values[d], share * scratch.rates[d]
    if angle != scratch.angle[k]:
        scratch.angle[k] = angle
        scratch.sine[k], scratch.cosine[k] = sin(angle), cos(angle)
    # spelt out axis by axis, so that the compiler knows every place in the parcel
    turn, axis = (scratch.sine[k], scratch.cosine[k], rate), skeleton.turn_axis[k]
    if axis == 0:
        turn_about(parcel, (0, 1, 2), (6, 7, 8), turn)
    elif axis == 1:
        turn_about(parcel, (1, 2, 0), (8, 6, 7), turn)
    else:
        turn_about(parcel, (2, 0, 1), (7, 8, 6), turn)


@compiled
def shift_parcel(parcel: Array, mass: float, offset: Array) -> None:
    """See a parcel from the parent's joint, `offset` away."""
    x, y, z = offset[0], offset[1], offset[2]
    cx, cy, cz = parcel[0], parcel[1], parcel[2]
    px, py, pz = parcel[9], parcel[10], parcel[11]
    parcel[3] += 2.0 * (cy * y + cz * z) + mass * (y * y + z * z)
    parcel[4] += 2.0 * (cx * x + cz * z) + mass * (x * x + z * z)
    parcel[5] += 2.0 * (cx * x + cy * y) + mass * (x * x + y * y)
    parcel[6] -= cx * y + cy * x + mass * x * y
    parcel[7] -= cx * z + cz * x + mass * x * z
    parcel[8] -= cy * z + cz * y + mass * y * z
    parcel[0], parcel[1], parcel[2] = cx + mass * x, cy + mass * y, cz + mass * z
    parcel[12] += y * pz - z * py
    parcel[13] += z * px - x * pz
    parcel[14] += x * py - y * px


@compiled
def gather(fold: Fold, i: int, parcel: Array) -> None:
    """What segment i is by itself and what its children handed to it."""
    for a in range(PARCEL):
        parcel[a] = fold.own[i, a]
    for n in range(fold.child_start[i], fold.child_start[i + 1]):
        child = fold.children[n]
        for a in range(PARCEL):
            parcel[a] += fold.handed[child, a]


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
        parcel = fold.handed[i]
        gather(fold, i, parcel)
        for k in range(skeleton.turn_start[i + 1] - 1, skeleton.turn_start[i] - 1, -1):
            turn_parcel(skeleton, scratch, k, parcel)
        shift_parcel(parcel, fold.mass[i], skeleton.offsets[i])
    fold.stale[0] = False
    parcel = fold.handed[0]
    gather(fold, 0, parcel)
    state[0:6] = parcel[3:9]
    state[6:9] = parcel[12:15]
    state[9:12] = parcel[0:3]
    state[12:15] = parcel[9:12]
    finish_state(state)
