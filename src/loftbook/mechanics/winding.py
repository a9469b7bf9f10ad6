"""Compiled count of somersault, tilt and twist, for batches of flights.

`counts` does the same for one flight in plain numpy; tests hold the two against each other.
"""

from __future__ import annotations

from math import atan2, pi, sqrt

import numpy as np

from loftbook.mechanics.arrays import Array
from loftbook.mechanics.kernel import compiled


@compiled
def long_axis(state: Array, axis: Array, rounds: int) -> None:
    """Sharpen the axis of least inertia by inverse iteration, in place, keeping its sense."""
    for _ in range(rounds):
        x, y, z = axis[0], axis[1], axis[2]
        u = state[15] * x + state[18] * y + state[19] * z
        v = state[18] * x + state[16] * y + state[20] * z
        w = state[19] * x + state[20] * y + state[17] * z
        size = 1.0 / sqrt(u * u + v * v + w * w)
        axis[0], axis[1], axis[2] = u * size, v * size, w * size
        if abs(axis[0] - x) + abs(axis[1] - y) + abs(axis[2] - z) < 1e-13:
            return


@compiled
def momentum_frame(H: Array, q: Array, frame: Array) -> None:
    """Rows: the somersault axis (along H, to the right at take-off), forward, and up as near as H allows."""
    size = sqrt(H[0] * H[0] + H[1] * H[1] + H[2] * H[2])
    frame[:] = 0.0
    if size == 0.0 or abs(H[2]) > 0.999999 * size:
        frame[0, 0], frame[1, 1], frame[2, 2] = 1.0, 1.0, 1.0
        return
    w, x, y, z = q[0], q[1], q[2], q[3]
    to_right = (1 - 2 * (y * y + z * z)) * H[0] + 2 * (x * y + w * z) * H[1] + 2 * (x * z - w * y) * H[2]
    sense = 1.0 if to_right >= 0.0 else -1.0
    for a in range(3):
        frame[0, a] = sense * H[a] / size
    up = 1.0 / sqrt(frame[0, 0] ** 2 + frame[0, 1] ** 2)
    for a in range(3):
        frame[2, a] = ((1.0 if a == 2 else 0.0) - frame[0, 2] * frame[0, a]) * up
    frame[1, 0] = frame[2, 1] * frame[0, 2] - frame[2, 2] * frame[0, 1]
    frame[1, 1] = frame[2, 2] * frame[0, 0] - frame[2, 0] * frame[0, 2]
    frame[1, 2] = frame[2, 0] * frame[0, 1] - frame[2, 1] * frame[0, 0]


@compiled
def body_angles(q: Array, axis: Array, frame: Array, out: Array) -> None:
    """Somersault, tilt and twist of the long axis about the momentum, each within half a turn."""
    w, x, y, z = q[0], q[1], q[2], q[3]
    side = 1.0 / sqrt(max(1.0 - axis[0] * axis[0], 1e-24))
    # the pelvis's own left-right axis made square to the long axis, and the one before it
    fx, fy, fz = (1.0 - axis[0] * axis[0]) * side, -axis[0] * axis[1] * side, -axis[0] * axis[2] * side
    gx, gy, gz = axis[1] * fz - axis[2] * fy, axis[2] * fx - axis[0] * fz, axis[0] * fy - axis[1] * fx
    lx = ly = lz = f = g = 0.0
    for a in range(3):
        if a == 0:
            r0, r1, r2 = 1 - 2 * (y * y + z * z), 2 * (x * y - w * z), 2 * (x * z + w * y)
        elif a == 1:
            r0, r1, r2 = 2 * (x * y + w * z), 1 - 2 * (x * x + z * z), 2 * (y * z - w * x)
        else:
            r0, r1, r2 = 2 * (x * z - w * y), 2 * (y * z + w * x), 1 - 2 * (x * x + y * y)
        along = r0 * axis[0] + r1 * axis[1] + r2 * axis[2]
        lx += frame[0, a] * along
        ly += frame[1, a] * along
        lz += frame[2, a] * along
        f += frame[0, a] * (r0 * fx + r1 * fy + r2 * fz)
        g += frame[0, a] * (r0 * gx + r1 * gy + r2 * gz)
    out[0] = atan2(-ly, lz)
    out[1] = atan2(lx, sqrt(ly * ly + lz * lz))
    out[2] = atan2(-g, f)


@compiled
def unwrap(before: Array, after: Array) -> None:
    """Add whole turns to somersault and twist so that they go on from the last step."""
    for a in (0, 2):
        after[a] -= 2.0 * pi * np.round((after[a] - before[a]) / (2.0 * pi))
