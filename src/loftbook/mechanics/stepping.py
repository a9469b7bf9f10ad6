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
import numpy.typing as npt

from loftbook.mechanics.arrays import Array, Curves, Launch, Skeleton
from loftbook.mechanics.folding import fold_for, folded_state
from loftbook.mechanics.kernel import compiled, invert, read_curves, scratch_for, shape_state
from loftbook.mechanics.winding import body_angles, long_axis, momentum_frame, unwrap

Flags = npt.NDArray[np.bool_]
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
def states_on_steps(
    skeleton: Skeleton, curves: Curves, row: int, dt: float, states: Array, still: Flags
) -> None:
    """States at every step, (N + 1, STATE); still says whether nothing moved since the step before."""
    scratch, fold = scratch_for(skeleton), fold_for(skeleton)
    for n in range(states.shape[0]):
        still[n] = not read_curves(curves, row, n * dt, scratch)
        if still[n]:
            states[n] = states[n - 1]
        else:
            folded_state(skeleton, scratch, fold, states[n])


@compiled
def between_steps(states: Array, n: int, middle: Array) -> None:
    """State half-way from step n to n + 1, from the six steps about it (four or fewer near the ends).

    Shapes change smoothly, so that this costs a hundredth of a shape and is as good as the steps themselves.
    """
    last = states.shape[0] - 1
    if 2 <= n <= last - 3:
        for a in range(9):
            middle[a] = (
                150.0 * (states[n, a] + states[n + 1, a])
                - 25.0 * (states[n - 1, a] + states[n + 2, a])
                + 3.0 * (states[n - 2, a] + states[n + 3, a])
            ) / 256.0
    elif 1 <= n <= last - 2:
        for a in range(9):
            middle[a] = (
                9.0 * (states[n, a] + states[n + 1, a]) - (states[n - 1, a] + states[n + 2, a])
            ) / 16.0
    elif last < 3:
        for a in range(9):
            middle[a] = 0.5 * (states[n, a] + states[n + 1, a])
    else:
        first, step = (n, 1) if n == 0 else (n + 1, -1)
        for a in range(9):
            middle[a] = (
                5.0 * states[first, a]
                + 15.0 * states[first + step, a]
                - 5.0 * states[first + 2 * step, a]
                + states[first + 3 * step, a]
            ) / 16.0
    invert(middle)


@compiled
def fly_one(
    skeleton: Skeleton, curves: Curves, launch: Launch, row: int, orientations: Array, angles: Array
) -> None:
    """Fly row number `row` of a batch whose arrays may each have one row for all.

    orientations is (N + 1, 4), or (1, 4) to keep only the last; angles is (N + 1, 3): somersault, tilt, twist.
    """
    H = launch.momenta[min(row, launch.momenta.shape[0] - 1)]
    q = launch.starts[min(row, launch.starts.shape[0] - 1)].copy()
    steps, keep = angles.shape[0] - 1, orientations.shape[0] > 1
    dt = launch.durations[min(row, launch.durations.size - 1)] / steps
    states, still = np.zeros((steps + 1, STATE)), np.zeros(steps + 1, np.bool_)
    states_on_steps(skeleton, curves, min(row, curves.knots.shape[0] - 1), dt, states, still)
    k, middle, frame, axis = np.zeros((5, 4)), np.zeros(STATE), np.zeros((3, 3)), np.array([0.0, 0.0, 1.0])
    momentum_frame(H, q, frame)
    long_axis(states[0], axis, 200)
    body_angles(q, axis, frame, angles[0])
    orientations[0] = q
    for n in range(steps):
        if still[n + 1]:
            rk4_step(q, (states[n], states[n], states[n]), H, dt, k)
        else:
            between_steps(states, n, middle)
            rk4_step(q, (states[n], middle, states[n + 1]), H, dt, k)
        long_axis(states[n + 1], axis, 200 if keep or n == steps - 1 else 5)
        body_angles(q, axis, frame, angles[n + 1])
        unwrap(angles[n], angles[n + 1])
        orientations[(n + 1) if keep else 0] = q


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
