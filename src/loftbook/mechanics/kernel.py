"""The compiled heart of the flight: shape, momentum balance, Runge-Kutta steps.

Modules that people import load this one inside functions only, because importing numba takes a noticeable part of a
second. Every function is compiled at its first call and kept on disk.

Everything is per kilogram of body mass, SI and radians. A state of the shape is twelve numbers in the pelvis's
frame: inertia xx yy zz xy xz yz, relative momentum x y z, mass centre x y z.
"""

from __future__ import annotations

from collections.abc import Callable
from dis import get_instructions
from math import cos, sin
from typing import NamedTuple, TypeVar, cast
from zlib import crc32

import numba
import numpy as np
import numpy.typing as npt

from loftbook.mechanics.arrays import Array, Curves, Skeleton

STATE = 21  # inertia 6, relative momentum 3, mass centre 3, its velocity 3, inverse of the inertia 6
F = TypeVar("F", bound=Callable[..., object])


def compiled(function: F) -> F:
    """Compile a function at its first call, keep the result on disk, and let other threads run meanwhile.

    The stored result is found by name, and numba looks only at the file in which the function stands. So the name is
    made to carry a fingerprint of the function and of every compiled function that it calls, in whatever file.
    """
    function.__qualname__ = f"{function.__qualname__}_{fingerprint(function):08x}"
    made = numba.njit(cache=True, nogil=True, error_model="numpy", fastmath={"contract", "nsz"})(function)
    return cast(F, made)


def fingerprint(function: Callable[..., object]) -> int:
    """A number that changes with a function's code, its constants, and the compiled functions that it calls."""
    code = function.__code__
    parts: list[object] = [code.co_code, code.co_consts, code.co_names, code.co_varnames]
    for name in sorted(called_by(function)):
        known = function.__globals__.get(name)
        called = getattr(known, "py_func", None)
        if called is not None:
            parts.append(called.__qualname__)
        elif isinstance(known, int | float | str | tuple):
            parts.append(known)
    return crc32(repr(parts).encode())


def called_by(function: Callable[..., object]) -> set[str]:
    """The names that a function takes from its module."""
    return {str(i.argval) for i in get_instructions(function) if i.opname == "LOAD_GLOBAL"}


class Scratch(NamedTuple):
    """Working memory of one flight, so that no step allocates any."""

    rotation: Array
    spin: Array
    place: Array
    speed: Array
    angle: Array
    sine: Array
    cosine: Array
    values: Array
    rates: Array
    changed: npt.NDArray[np.bool_]
    crossed: npt.NDArray[np.bool_]
    pointer: npt.NDArray[np.int64]


@compiled
def scratch_for(skeleton: Skeleton) -> Scratch:
    """Working memory for a skeleton."""
    segments = skeleton.parents.size
    turns = skeleton.turn_axis.size
    angles = skeleton.angle_count
    return Scratch(
        np.zeros((segments, 3, 3)),
        np.zeros((segments, 3)),
        np.zeros((segments, 3)),
        np.zeros((segments, 3)),
        np.zeros(turns),
        np.zeros(turns),
        np.ones(turns),
        np.full(angles, np.nan),
        np.zeros(angles),
        np.ones(angles, np.bool_),
        np.zeros(1, np.bool_),
        np.zeros(angles, np.int64),
    )


@compiled
def _hang(skeleton: Skeleton, scratch: Scratch, i: int) -> None:
    """Put segment i at its joint, moving with its parent."""
    p = skeleton.parents[i]
    R = scratch.rotation
    if p < 0:
        for a in range(3):
            for b in range(3):
                R[i, a, b] = 1.0 if a == b else 0.0
            scratch.spin[i, a] = 0.0
            scratch.place[i, a] = 0.0
            scratch.speed[i, a] = 0.0
        return
    x, y, z = skeleton.offsets[i, 0], skeleton.offsets[i, 1], skeleton.offsets[i, 2]
    rx = R[p, 0, 0] * x + R[p, 0, 1] * y + R[p, 0, 2] * z
    ry = R[p, 1, 0] * x + R[p, 1, 1] * y + R[p, 1, 2] * z
    rz = R[p, 2, 0] * x + R[p, 2, 1] * y + R[p, 2, 2] * z
    wx, wy, wz = scratch.spin[p, 0], scratch.spin[p, 1], scratch.spin[p, 2]
    scratch.place[i, 0] = scratch.place[p, 0] + rx
    scratch.place[i, 1] = scratch.place[p, 1] + ry
    scratch.place[i, 2] = scratch.place[p, 2] + rz
    scratch.speed[i, 0] = scratch.speed[p, 0] + wy * rz - wz * ry
    scratch.speed[i, 1] = scratch.speed[p, 1] + wz * rx - wx * rz
    scratch.speed[i, 2] = scratch.speed[p, 2] + wx * ry - wy * rx
    for a in range(3):
        scratch.spin[i, a] = scratch.spin[p, a]
        for b in range(3):
            R[i, a, b] = R[p, a, b]


@compiled
def _turn(skeleton: Skeleton, scratch: Scratch, i: int) -> None:
    """Turn segment i by its own joint angles, one axis after the other."""
    R = scratch.rotation
    for k in range(skeleton.turn_start[i], skeleton.turn_start[i + 1]):
        share = skeleton.turn_share[k]
        angle = share * scratch.values[skeleton.turn_angle[k]]
        rate = share * scratch.rates[skeleton.turn_angle[k]]
        if angle != scratch.angle[k]:
            scratch.angle[k] = angle
            scratch.sine[k] = sin(angle)
            scratch.cosine[k] = cos(angle)
        a = skeleton.turn_axis[k]
        b, c = (a + 1) % 3, (a + 2) % 3
        if rate != 0.0:
            for row in range(3):
                scratch.spin[i, row] += rate * R[i, row, a]
        s, co = scratch.sine[k], scratch.cosine[k]
        if s != 0.0 or co != 1.0:
            for row in range(3):
                u, v = R[i, row, b], R[i, row, c]
                R[i, row, b] = co * u + s * v
                R[i, row, c] = co * v - s * u


@compiled
def _add(skeleton: Skeleton, scratch: Scratch, i: int, state: Array) -> None:
    """Add segment i's share of inertia, momentum and mass centre, about the pelvis's origin."""
    R = scratch.rotation
    m = skeleton.fractions[i]
    cx, cy, cz = skeleton.centres[i, 0], skeleton.centres[i, 1], skeleton.centres[i, 2]
    dx = R[i, 0, 0] * cx + R[i, 0, 1] * cy + R[i, 0, 2] * cz
    dy = R[i, 1, 0] * cx + R[i, 1, 1] * cy + R[i, 1, 2] * cz
    dz = R[i, 2, 0] * cx + R[i, 2, 1] * cy + R[i, 2, 2] * cz
    wx, wy, wz = scratch.spin[i, 0], scratch.spin[i, 1], scratch.spin[i, 2]
    x, y, z = scratch.place[i, 0] + dx, scratch.place[i, 1] + dy, scratch.place[i, 2] + dz
    px = m * (scratch.speed[i, 0] + wy * dz - wz * dy)
    py = m * (scratch.speed[i, 1] + wz * dx - wx * dz)
    pz = m * (scratch.speed[i, 2] + wx * dy - wy * dx)
    i1, i2, i3 = skeleton.inertias[i, 0], skeleton.inertias[i, 1], skeleton.inertias[i, 2]
    sxx = i1 * R[i, 0, 0] * R[i, 0, 0] + i2 * R[i, 0, 1] * R[i, 0, 1] + i3 * R[i, 0, 2] * R[i, 0, 2]
    syy = i1 * R[i, 1, 0] * R[i, 1, 0] + i2 * R[i, 1, 1] * R[i, 1, 1] + i3 * R[i, 1, 2] * R[i, 1, 2]
    sxy = i1 * R[i, 0, 0] * R[i, 1, 0] + i2 * R[i, 0, 1] * R[i, 1, 1] + i3 * R[i, 0, 2] * R[i, 1, 2]
    sxz = i1 * R[i, 0, 0] * R[i, 2, 0] + i2 * R[i, 0, 1] * R[i, 2, 1] + i3 * R[i, 0, 2] * R[i, 2, 2]
    syz = i1 * R[i, 1, 0] * R[i, 2, 0] + i2 * R[i, 1, 1] * R[i, 2, 1] + i3 * R[i, 1, 2] * R[i, 2, 2]
    szz = i1 + i2 + i3 - sxx - syy
    state[0] += sxx + m * (y * y + z * z)
    state[1] += syy + m * (x * x + z * z)
    state[2] += szz + m * (x * x + y * y)
    state[3] += sxy - m * x * y
    state[4] += sxz - m * x * z
    state[5] += syz - m * y * z
    state[6] += y * pz - z * py + sxx * wx + sxy * wy + sxz * wz
    state[7] += z * px - x * pz + sxy * wx + syy * wy + syz * wz
    state[8] += x * py - y * px + sxz * wx + syz * wy + szz * wz
    state[9] += m * x
    state[10] += m * y
    state[11] += m * z
    state[12] += px
    state[13] += py
    state[14] += pz


@compiled
def _about_mass_centre(state: Array) -> None:
    """Shift inertia and momentum from the pelvis's origin to the mass centre (the masses sum to one)."""
    x, y, z = state[9], state[10], state[11]
    px, py, pz = state[12], state[13], state[14]
    state[0] -= y * y + z * z
    state[1] -= x * x + z * z
    state[2] -= x * x + y * y
    state[3] += x * y
    state[4] += x * z
    state[5] += y * z
    state[6] -= y * pz - z * py
    state[7] -= z * px - x * pz
    state[8] -= x * py - y * px


@compiled
def invert(state: Array) -> None:
    """Write the inverse of the inertia into state[15:21]."""
    a, b, c, d, e, f = state[0], state[1], state[2], state[3], state[4], state[5]
    xx, xy, xz = b * c - f * f, e * f - d * c, d * f - b * e
    g = 1.0 / (a * xx + d * xy + e * xz)
    state[15] = xx * g
    state[16] = (a * c - e * e) * g
    state[17] = (a * b - d * d) * g
    state[18] = xy * g
    state[19] = xz * g
    state[20] = (d * e - a * f) * g


@compiled
def finish_state(state: Array) -> None:
    """From sums about the pelvis's origin to a whole state: about the mass centre, with the inverse."""
    _about_mass_centre(state)
    invert(state)


@compiled
def shape_state(skeleton: Skeleton, scratch: Scratch, state: Array) -> None:
    """Work out the state of the shape from the angles and rates in scratch."""
    state[:] = 0.0
    for i in range(skeleton.parents.size):
        _hang(skeleton, scratch, i)
        _turn(skeleton, scratch, i)
        _add(skeleton, scratch, i, state)
    finish_state(state)


@compiled
def read_curves(curves: Curves, row: int, time: float, scratch: Scratch) -> bool:
    """Read all joint angles and rates at a time; tell whether any differs from the last reading.

    Afterwards `scratch.changed` says which, and `scratch.crossed` whether a movement began or ended in between.
    """
    changed = crossed = False
    for d in range(scratch.values.size):
        scratch.changed[d] = False
        known = scratch.values[d] == scratch.values[d]
        if known and not curves.stirs[d]:
            continue  # read before, and it never moves
        k, last = max(scratch.pointer[d], curves.starts[d]), curves.starts[d + 1] - 1
        was = k
        while k < last and time >= curves.knots[row, k + 1]:
            k += 1
        while k > curves.starts[d] and time < curves.knots[row, k]:
            k -= 1
        if k != was:
            crossed = crossed or curves.moves[k] or curves.moves[was]
        scratch.pointer[d] = k
        value, rate = curves.coefficients[row, k, 0], 0.0
        if k < last and curves.moves[k]:
            g = curves.inverse_widths[row, k]
            u = max((time - curves.knots[row, k]) * g, 0.0)
            c1, c2, c3 = (
                curves.coefficients[row, k, 1],
                curves.coefficients[row, k, 2],
                curves.coefficients[row, k, 3],
            )
            c4, c5 = curves.coefficients[row, k, 4], curves.coefficients[row, k, 5]
            value += u * (c1 + u * (c2 + u * (c3 + u * (c4 + u * c5))))
            rate = g * (c1 + u * (2.0 * c2 + u * (3.0 * c3 + u * (4.0 * c4 + u * 5.0 * c5))))
        if not known or value != scratch.values[d] or rate != scratch.rates[d]:
            changed = scratch.changed[d] = True
            scratch.values[d], scratch.rates[d] = value, rate
    scratch.crossed[0] = crossed
    return changed
