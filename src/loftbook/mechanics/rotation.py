"""Turning things in space: unit quaternions, written scalar first (w, x, y, z), and matrices.

A quaternion here takes a vector of the body (pelvis) into space. Batches stand in the leading axes.
"""

from __future__ import annotations

import numpy as np

from loftbook.errors import RangeError, ShapeError
from loftbook.mechanics.arrays import Array

MOST_TURNS = 1000.0  # rad; beyond, an angle is a slip
UPRIGHT: tuple[float, float, float, float] = (1.0, 0.0, 0.0, 0.0)  # facing forward (+y), head up (+z)


def unit(q: Array) -> Array:
    """The quaternion at length one; refuses what is no rotation.

    Units
        q : (..., 4), w x y z

    Example
        >>> unit([2.0, 0, 0, 0]).tolist()
        [1.0, 0.0, 0.0, 0.0]
    """
    q = np.asarray(q, dtype=float)
    if q.shape[-1:] != (4,):
        raise ShapeError(f"a quaternion has shape {q.shape}; expected (..., 4), scalar first: w x y z.")
    size = np.linalg.norm(q, axis=-1, keepdims=True)
    if not np.all(np.isfinite(size)) or np.any(size < 1e-9):
        raise RangeError(
            "a quaternion is zero or not a number; expected four finite numbers, (1, 0, 0, 0) for upright."
        )
    return np.asarray(q / size)


def multiply(p: Array, q: Array) -> Array:
    """First turn by q, then by p.

    Units
        p, q : (..., 4)

    Source
        Hamilton's product

    Example
        >>> multiply([0.0, 1, 0, 0], [0.0, 1, 0, 0]).tolist()
        [-1.0, 0.0, 0.0, 0.0]
    """
    p, q = np.asarray(p, dtype=float), np.asarray(q, dtype=float)
    a, b, c, d = np.moveaxis(p, -1, 0)
    e, f, g, h = np.moveaxis(q, -1, 0)
    return np.stack(
        [a * e - b * f - c * g - d * h, a * f + b * e + c * h - d * g,
         a * g - b * h + c * e + d * f, a * h + b * g - c * f + d * e],
        axis=-1,
    )  # fmt: skip


def inverse(q: Array) -> Array:
    """The turn back.

    Units
        q : (..., 4) of length one

    Example
        >>> inverse([0.0, 1, 0, 0]).tolist()
        [0.0, -1.0, -0.0, -0.0]
    """
    return np.asarray(np.asarray(q, dtype=float) * np.array([1.0, -1.0, -1.0, -1.0]))


def from_vector(vector: Array) -> Array:
    """The turn about an axis, by as many radians as the vector is long.

    Units
        vector : (..., 3) rad

    Example
        >>> from_vector([0.0, 0, 3.141592653589793]).round(6).tolist()
        [0.0, 0.0, 0.0, 1.0]
    """
    vector = np.asarray(vector, dtype=float)
    angle = np.linalg.norm(vector, axis=-1, keepdims=True)
    return np.concatenate([np.cos(angle / 2), vector * 0.5 * np.sinc(angle / (2 * np.pi))], axis=-1)


def to_vector(q: Array) -> Array:
    """The shortest turn as an axis times its angle.

    Units
        q : (..., 4); returns (..., 3) rad, at most π long

    Example
        >>> to_vector([0.0, 1, 0, 0]).round(4).tolist()
        [3.1416, 0.0, 0.0]
    """
    q = np.asarray(q, dtype=float)
    q = np.where(q[..., :1] < 0, -q, q)
    sine = np.linalg.norm(q[..., 1:], axis=-1, keepdims=True)
    angle = 2 * np.arctan2(sine, q[..., :1])
    factor = np.where(sine > 1e-12, angle / np.maximum(sine, 1e-12), 2.0)
    return np.asarray(factor * q[..., 1:])


def matrix(q: Array) -> Array:
    """The rotation matrix of a quaternion; its columns are the body's axes in space.

    Units
        q : (..., 4) of length one; returns (..., 3, 3)

    Example
        >>> matrix([1.0, 0, 0, 0]).tolist()
        [[1.0, 0.0, 0.0], [0.0, 1.0, 0.0], [0.0, 0.0, 1.0]]
    """
    w, x, y, z = np.moveaxis(np.asarray(q, dtype=float), -1, 0)
    rows = [
        [1 - 2 * (y * y + z * z), 2 * (x * y - w * z), 2 * (x * z + w * y)],
        [2 * (x * y + w * z), 1 - 2 * (x * x + z * z), 2 * (y * z - w * x)],
        [2 * (x * z - w * y), 2 * (y * z + w * x), 1 - 2 * (x * x + y * y)],
    ]
    return np.stack([np.stack(row, axis=-1) for row in rows], axis=-2)


def orientation(*, somersault: float = 0.0, tilt: float = 0.0, twist: float = 0.0) -> Array:
    """Where the body points after a somersault, a tilt and a twist from the upright stance.

    Units
        somersault : rad about x (to the right), backward positive
        tilt : rad about y (forward), head to the right positive
        twist : rad about z (long axis), to the left positive
        returns (4,), w x y z

    Raises
        RangeError for angles that are no numbers

    Source
        The order somersault, tilt, twist is the one usual for twisting somersaults (Yeadon 1993, from
        memory).

    Example
        >>> orientation(somersault=3.141592653589793).round(6).tolist()
        [0.0, 1.0, 0.0, 0.0]
    """
    for name, angle in (("somersault", somersault), ("tilt", tilt), ("twist", twist)):
        if not abs(angle) <= MOST_TURNS:
            raise RangeError(f"a {name} of {angle!r} rad", "a number of radians", "a whole turn is 6.28")
    turns = (np.array([somersault, 0, 0]), np.array([0, tilt, 0]), np.array([0, 0, twist]))
    s, t, w = (from_vector(turn) for turn in turns)
    return multiply(multiply(s, t), w)


def angle_between(p: Array, q: Array) -> Array:
    """How far two orientations are apart.

    Units
        p, q : (..., 4); returns (...) rad, 0 to π

    Example
        >>> round(float(angle_between([1.0, 0, 0, 0], [0.0, 1, 0, 0])), 4)
        3.1416
    """
    return np.asarray(np.linalg.norm(to_vector(multiply(inverse(p), q)), axis=-1))
