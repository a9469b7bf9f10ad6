"""The arrays that the compiled kernel reads: a skeleton and the curves of its joint angles.

People build a `Body` and a `Plan`; these two values are what those become on the way into the kernel.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
import numpy.typing as npt

Array = npt.NDArray[np.float64]
Indices = npt.NDArray[np.int64]


class Skeleton(NamedTuple):
    """Segments as a tree, each hung on its parent by one to three turns.

    Units
        parents : (S,) index of the parent, -1 for the pelvis; a parent always stands before its children
        offsets : (S, 3) m, joint in the parent's frame
        centres : (S, 3) m, mass centre in the segment's own frame
        fractions : (S,) of body mass, summing to one
        inertias : (S, 3) m², about the segment's own centre and axes, per kilogram of body mass
        turn_start : (S + 1,) first turn of each segment; turn_axis 0, 1, 2 for x, y, z; turn_angle the joint angle
        that it follows; turn_share how much of that angle it takes, with its sign
    """

    parents: Indices
    offsets: Array
    centres: Array
    fractions: Array
    inertias: Array
    turn_start: Indices
    turn_axis: Indices
    turn_angle: Indices
    turn_share: Array
    angle_count: int


class Curves(NamedTuple):
    """Joint angles over time as pieces of fifth degree, for one plan or for many alike.

    Units
        starts : (D + 1,) first knot of each joint angle
        knots : (B, K) s; before its first and after its last knot an angle rests
        coefficients : (B, K, 6) rad, in powers of the fraction of the piece gone by
        inverse_widths : (B, K) 1/s
        moves : (K,) false where a piece is constant in every plan
        stirs : (D,) false for a joint angle that rests throughout in every plan
    """

    starts: Indices
    knots: Array
    coefficients: Array
    inverse_widths: Array
    moves: npt.NDArray[np.bool_]
    stirs: npt.NDArray[np.bool_]


class Launch(NamedTuple):
    """How flights begin; each array has a row for each flight or one row for all.

    Units
        momenta : (B, 3) m²/s, angular momentum per kilogram of body mass in the space frame
        starts : (B, 4) quaternions w x y z, pelvis to space at time zero
        durations : (B,) s
    """

    momenta: Array
    starts: Array
    durations: Array
