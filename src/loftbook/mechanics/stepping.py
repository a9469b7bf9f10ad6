"""Compiled Runge-Kutta steps of a torque-free flight, and the count of turns along it.

The momentum H stays what it was at take-off. At each instant the pelvis turns at Omega = J^-1 (R^T H - h),
with the
inertia J and the momentum h of the limbs relative to the pelvis known from the shape alone. So each step
needs the shape at
its start, middle and end, and the shape at the end serves the next step too.
"""

from __future__ import annotations

from math import sqrt

import numpy as np

from loftbook.mechanics.arrays import Array, Curves, Launch, Skeleton
from loftbook.mechanics.kernel import Scratch, compiled, read_curves, scratch_for, shape_state
from loftbook.mechanics.winding import body_angles, long_axis, momentum_frame, unwrap

STATE = 21  # inertia 6, relative momentum 3, mass centre 3, its velocity 3, inverse of the inertia 6


@compiled
def turn_rate(q: Array, state: Array, H: Array, out: Array) -> None:
    """Time derivative of the pelvis's quaternion for one state of the shape."""
    w, x, y, z = q[0], q[1], q[2], q[3]
    # Between steps a quaternion is not quite of length one. Dividing by its square keeps the rate independent of that,
    # and so of the direction of the axes of space.
    ww, xx, yy, zz = w * w, x * x, y * y, z * z
    size = 1.0 / (ww + xx + yy + zz)
    # momentum in the pelvis's frame, less what the moving limbs carry
    lx = ((ww + xx - yy - zz) * H[0] + 2 * (x * y + w * z) * H[1] + 2 * (x * z - w * y) * H[2]) * size - state[6]
    ly = (2 * (x * y - w * z) * H[0] + (ww - xx + yy - zz) * H[1] + 2 * (y * z + w * x) * H[2]) * size - state[7]
    lz = (2 * (x * z + w * y) * H[0] + 2 * (y * z - w * x) * H[1] + (ww - xx - yy + zz) * H[2]) * size - state[8]
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
def fly_one(
    skeleton: Skeleton, curves: Curves, launch: Launch, row: int, orientations: Array, angles: Array
) -> None:
    """Fly row number `row` of a batch whose arrays may each have one row for all.

    orientations is (N + 1, 4), or (1, 4) to keep only the last; angles is (N + 1, 3): somersault, tilt,
    twist.
    """
    H = launch.momenta[min(row, launch.momenta.shape[0] - 1)]
    q = launch.starts[min(row, launch.starts.shape[0] - 1)].copy()
    plan = min(row, curves.knots.shape[0] - 1)
    steps, keep = angles.shape[0] - 1, orientations.shape[0] > 1
    dt = launch.durations[min(row, launch.durations.size - 1)] / steps
    scratch, states, k = scratch_for(skeleton), np.zeros((3, STATE)), np.zeros((5, 4))
    frame, axis = np.zeros((3, 3)), np.array([0.0, 0.0, 1.0])
    momentum_frame(H, q, frame)
    read_curves(curves, plan, 0.0, scratch)
    shape_state(skeleton, scratch, states[0])
    long_axis(states[0], axis, 200)
    body_angles(q, axis, frame, angles[0])
    orientations[0] = q
    before, middle, after = 0, 1, 2
    for n in range(steps):
        changed = read_curves(curves, plan, (n + 0.5) * dt, scratch)
        refresh(skeleton, scratch, changed, states[before], states[middle])
        changed = read_curves(curves, plan, (n + 1.0) * dt, scratch)
        refresh(skeleton, scratch, changed, states[middle], states[after])
        rk4_step(q, (states[before], states[middle], states[after]), H, dt, k)
        long_axis(states[after], axis, 200 if keep or n == steps - 1 else 5)
        body_angles(q, axis, frame, angles[n + 1])
        unwrap(angles[n], angles[n + 1])
        if keep:
            orientations[n + 1] = q
        before, after = after, before
    if not keep:
        orientations[0] = q


@compiled
def refresh(skeleton: Skeleton, scratch: Scratch, changed: bool, known: Array, wanted: Array) -> None:  # noqa: FBT001
    """Work out the wanted state, or copy the last known one while nothing moves."""
    if changed:
        shape_state(skeleton, scratch, wanted)
    else:
        wanted[:] = known


@compiled
def fly_rows(
    skeleton: Skeleton,
    curves: Curves,
    launch: Launch,
    span: tuple[int, int],
    orientations: Array,
    angles: Array,
) -> None:
    """Fly the rows span[0] to span[1] - 1, keeping last orientations (B, 4), angles (B, N + 1, 3)."""
    for row in range(span[0], span[1]):
        fly_one(skeleton, curves, launch, row, orientations[row : row + 1], angles[row])


@compiled
def states_at(skeleton: Skeleton, curves: Curves, row: int, times: Array, states: Array) -> None:
    """States of the shape at given times, (N, STATE)."""
    scratch = scratch_for(skeleton)
    for n in range(times.size):
        read_curves(curves, row, times[n], scratch)
        shape_state(skeleton, scratch, states[n])


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
