"""Compiled Runge-Kutta steps of a torque-free flight, and the count of turns along it.

The momentum H stays what it was at take-off. At each instant the pelvis turns at Omega = J^-1 (R^T H - h), with the
inertia J and the momentum h of the limbs relative to the pelvis known from the shape alone. So each step needs the
shape at its start, middle and end, and the shape at the end serves the next step too.
"""

from __future__ import annotations

from math import sqrt

import numpy as np

from loftbook.mechanics.arrays import Array, Curves, Indices, Launch, Skeleton
from loftbook.mechanics.folding import fold_for, folded_state
from loftbook.mechanics.kernel import STATE, compiled, read_curves, scratch_for, shape_state
from loftbook.mechanics.tabling import Table, tabulate
from loftbook.mechanics.winding import body_angles, long_axis, momentum_frame, unwrap


@compiled
def turn_rate(q: Array, state: Array, H: Array, out: Array) -> None:
    """Time derivative of the pelvis's quaternion for one state of the shape."""
    w, x, y, z = q[0], q[1], q[2], q[3]
    # Between steps a quaternion is not quite of length one. Dividing by its square keeps the rate independent of that,
    # and so of the direction of the axes of space.
    ww, xx, yy, zz = w * w, x * x, y * y, z * z
    size = 1.0 / (ww + xx + yy + zz)
    # momentum in the pelvis's frame, less what the moving limbs carry
    lx = (
        (ww + xx - yy - zz) * H[0] + 2 * (x * y + w * z) * H[1] + 2 * (x * z - w * y) * H[2]
    ) * size - state[6]
    ly = (
        2 * (x * y - w * z) * H[0] + (ww - xx + yy - zz) * H[1] + 2 * (y * z + w * x) * H[2]
    ) * size - state[7]
    lz = (
        2 * (x * z + w * y) * H[0] + 2 * (y * z - w * x) * H[1] + (ww - xx - yy + zz) * H[2]
    ) * size - state[8]
    ox = state[15] * lx + state[18] * ly + state[19] * lz
    oy = state[18] * lx + state[16] * ly + state[20] * lz
    oz = state[19] * lx + state[20] * ly + state[17] * lz
    out[0] = -0.5 * (x * ox + y * oy + z * oz)
    out[1] = 0.5 * (w * ox + y * oz - z * oy)
    out[2] = 0.5 * (w * oy + z * ox - x * oz)
    out[3] = 0.5 * (w * oz + x * oy - y * ox)


@compiled
def rk4_step(q: Array, states: tuple[Array, Array, Array], H: Array, dt: float, k: Array) -> None:
    """Advance a quaternion by one step, in place.

    states are those at the step's start, middle and end; k is (5, 4) working memory.
    """
    turn_rate(q, states[0], H, k[0])
    for a in range(4):
        k[4, a] = q[a] + 0.5 * dt * k[0, a]
    turn_rate(k[4], states[1], H, k[1])
    for a in range(4):
        k[4, a] = q[a] + 0.5 * dt * k[1, a]
    turn_rate(k[4], states[1], H, k[2])
    for a in range(4):
        k[4, a] = q[a] + dt * k[2, a]
    turn_rate(k[4], states[2], H, k[3])
    size = 0.0
    for a in range(4):
        q[a] += dt / 6.0 * (k[0, a] + 2.0 * k[1, a] + 2.0 * k[2, a] + k[3, a])
        size += q[a] * q[a]
    for a in range(4):
        q[a] /= sqrt(size)


@compiled
def run_steps(table: Table, H: Array, dt: float, path: Array) -> None:
    """Fly through a table from path[0], keeping each orientation, (N + 1, 4)."""
    k, q = np.zeros((5, 4)), path[0].copy()
    states = table.on_steps
    for n in range(table.still.size):
        if table.still[n]:
            rk4_step(q, (states[n], states[n], states[n]), H, dt, k)
        else:
            rk4_step(q, (states[n], table.half_way[n], states[n + 1]), H, dt, k)
        path[n + 1] = q


@compiled
def turn_a_little(q: Array, v: Array) -> None:
    """Turn a quaternion, in place, by the small turn whose vector part is v in the body's frame."""
    w, x, y, z = q[0], q[1], q[2], q[3]
    size = 1.0 / sqrt(1.0 + v[0] * v[0] + v[1] * v[1] + v[2] * v[2])
    q[0] = (w - x * v[0] - y * v[1] - z * v[2]) * size
    q[1] = (x + w * v[0] + y * v[2] - z * v[1]) * size
    q[2] = (y + w * v[1] + z * v[0] - x * v[2]) * size
    q[3] = (z + w * v[2] + x * v[1] - y * v[0]) * size


@compiled
def correct(table: Table, H: Array, dt: float, path: Array) -> float:
    """Take the error of fourth order out of a path, by flying it again in double steps; return its largest size, rad.

    A double step has its middle on a step, so that it needs no new shapes (Richardson's extrapolation).
    """
    k, q, states = np.zeros((5, 4)), path[0].copy(), table.on_steps
    before, after, largest = np.zeros(3), np.zeros(3), 0.0
    for n in range(0, table.still.size - 1, 2):
        rk4_step(q, (states[n], states[n + 1], states[n + 2]), H, 2 * dt, k)
        p = path[n + 2]
        # vector part of the turn from the coarse to the fine orientation, a fifteenth of it
        after[0] = (q[0] * p[1] - q[1] * p[0] - q[2] * p[3] + q[3] * p[2]) / 15.0
        after[1] = (q[0] * p[2] - q[2] * p[0] - q[3] * p[1] + q[1] * p[3]) / 15.0
        after[2] = (q[0] * p[3] - q[3] * p[0] - q[1] * p[2] + q[2] * p[1]) / 15.0
        size = 2.0 * sqrt(after[0] ** 2 + after[1] ** 2 + after[2] ** 2)
        if not size <= largest and not np.isnan(largest):  # a number that is none stays, to be told
            largest = size
        for a in range(3):
            before[a] = 0.5 * (before[a] + after[a])
        turn_a_little(path[n + 1], before)
        turn_a_little(p, after)
        before[:] = after
    return largest


@compiled
def count_along(table: Table, H: Array, path: Array, angles: Array) -> None:
    """Somersault, tilt and twist along a path, (N + 1, 3); exact at both ends, nearly so between."""
    frame, axis = np.zeros((3, 3)), np.array([0.0, 0.0, 1.0])
    momentum_frame(H, path[0], frame)
    last = table.still.size
    for n in range(last + 1):
        if n == 0 or not table.still[n - 1]:
            long_axis(table.on_steps[n], axis, 5)
        if n in (0, last):
            long_axis(table.on_steps[n], axis, 200)
        body_angles(path[n], axis, frame, angles[n])
        if n > 0:
            unwrap(angles[n - 1], angles[n])


@compiled
def fly_one(
    skeleton: Skeleton, curves: Curves, launch: Launch, row: int, orientations: Array, angles: Array
) -> float:
    """Fly row number `row` of a batch whose arrays may each have one row for all.

    orientations (N + 1, 4) and angles (N + 1, 3) are filled; returns the error of the path before it is corrected,
    which is more than that of the path given.
    """
    H = launch.momenta[min(row, launch.momenta.shape[0] - 1)]
    steps = angles.shape[0] - 1
    dt = launch.durations[min(row, launch.durations.size - 1)] / steps
    table = Table(
        np.zeros((steps + 1, STATE)),
        np.zeros((steps, STATE)),
        np.zeros(steps, np.bool_),
        np.zeros(steps, np.bool_),
    )
    tabulate(skeleton, curves, min(row, curves.knots.shape[0] - 1), dt, table)
    orientations[0] = launch.starts[min(row, launch.starts.shape[0] - 1)]
    run_steps(table, H, dt, orientations)
    error = correct(table, H, dt, orientations)
    count_along(table, H, orientations, angles)
    return error


@compiled
def fly_rows(
    skeleton: Skeleton, curves: Curves, launch: Launch, rows: Indices, orientations: Array, angles: Array
) -> float:
    """Fly some rows of a batch, keeping last orientations (B, 4) and angles (B, N + 1, 3); the largest error."""
    path, largest = np.empty((angles.shape[1], 4)), 0.0
    for row in rows:
        error = fly_one(skeleton, curves, launch, row, path, angles[row])
        if not error <= largest and not np.isnan(largest):  # a number that is none stays, to be told
            largest = error
        orientations[row] = path[-1]
    return largest


@compiled
def states_at(skeleton: Skeleton, curves: Curves, row: int, times: Array, states: Array) -> None:
    """States of the shape at given times, (N, STATE)."""
    scratch, fold = scratch_for(skeleton), fold_for(skeleton)
    for n in range(times.size):
        read_curves(curves, row, times[n], scratch)
        folded_state(skeleton, scratch, fold, states[n])


@compiled
def state_of(
    skeleton: Skeleton, angles: Array, rates: Array, state: Array, rotations: Array, places: Array
) -> None:
    """State of one shape from its angles and rates, with each segment's rotation and joint place."""
    scratch = scratch_for(skeleton)
    scratch.values[:] = angles
    scratch.rates[:] = rates
    shape_state(skeleton, scratch, state)
    rotations[:] = scratch.rotation
    places[:] = scratch.place


@compiled
def follow(states: Array, H: Array, q: Array, dt: float, orientations: Array) -> None:
    """Fly through states given every half step, (2 N + 1, STATE), keeping each orientation (N + 1, 4)."""
    k = np.zeros((5, 4))
    orientations[0] = q
    for n in range(orientations.shape[0] - 1):
        rk4_step(q, (states[2 * n], states[2 * n + 1], states[2 * n + 2]), H, dt, k)
        orientations[n + 1] = q
