"""How hard a shape is to turn: inertia tensor, principal axes, mass centre.

Everything is per kilogram of body mass, so moments are in m². Multiply by a mass to get kg m², if you know
one.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from loftbook.errors import RangeError, ShapeError
from loftbook.mechanics.arrays import Array
from loftbook.mechanics.body import Body, thicker
from loftbook.mechanics.shape import Shape, angles_of


@dataclass(frozen=True, eq=False)
class Inertia:
    """Inertia of one shape about its mass centre.

    Units
        tensor : (3, 3) m², in the pelvis's frame
        mass_centre : (3,) m, from the middle of the hips, in the pelvis's frame
        moments : (3,) m², principal, least first
        axes : (3, 3), columns are the principal axes; the first points towards the head, the frame is
        right-handed
        moments_uncertainty : (3,) m², standard, from the body's longitudinal uncertainty
    """

    tensor: Array
    mass_centre: Array
    moments: Array
    axes: Array
    moments_uncertainty: Array


@dataclass(frozen=True, eq=False)
class ShapeState:
    """One shape in motion, seen from the pelvis.

    Units
        tensor : (3, 3) m², about the mass centre
        relative_momentum : (3,) m²/s, what the moving limbs carry when the pelvis does not turn
        mass_centre, mass_velocity : (3,) m and m/s, relative to the middle of the hips
        rotations : (S, 3, 3) segment to pelvis; joints : (S, 3) m, where each segment hangs
    """

    tensor: Array
    relative_momentum: Array
    mass_centre: Array
    mass_velocity: Array
    rotations: Array
    joints: Array


def shape_in_motion(body: Body, shape: Shape, rates: Array | None = None) -> ShapeState:
    """Inertia and momentum of a shape whose joints are moving.

    Units
        rates : (18,) rad/s in the order of `ANGLE_NAMES`; at rest when None

    Source
        law: sum over segments of their own inertia and of mass times distance squared (parallel axes)

    Example
        >>> from loftbook.mechanics import body, straight
        >>> state = shape_in_motion(body(1.45, "female", age=11), straight())
        >>> bool(abs(state.relative_momentum).max() == 0.0)
        True
    """
    from loftbook.mechanics.kernel import STATE
    from loftbook.mechanics.stepping import state_of

    angles = angles_of(shape)
    rates = np.zeros_like(angles) if rates is None else np.asarray(rates, dtype=float)
    if rates.shape != angles.shape:
        raise ShapeError(f"rates of shape {rates.shape}", f"{angles.shape}", "one rate for each joint angle")
    if not np.all(np.isfinite(rates)):
        raise RangeError("rates with gaps", "finite rad/s", "fill the gaps first")
    count = len(body.skeleton.parents)
    state, rotations, joints = np.zeros(STATE), np.zeros((count, 3, 3)), np.zeros((count, 3))
    state_of(body.skeleton, angles, rates, state, rotations, joints)
    return ShapeState(tensors(state), state[6:9], state[9:12], state[12:15], rotations, joints)


def inertia(body: Body, shape: Shape) -> Inertia:
    """How hard this body in this shape is to turn, about every axis.

    Units
        m² (per kilogram of body mass)

    Valid
        transverse moments within about 10 %, the longitudinal within `body.longitudinal_uncertainty`; in a flexed
        shape the least moment lies mostly in the folded legs and is better known: see `moments_uncertainty`

    Source
        de Leva (1996) through `body`; checked against Santschi (1963) and measured sample bodies

    Example
        >>> from loftbook.mechanics import body, straight, tuck
        >>> girl = body(1.60, "female", age=16)
        >>> bool(inertia(girl, tuck()).moments[2] < 0.5 * inertia(girl, straight()).moments[2])
        True
    """
    state = shape_in_motion(body, shape)
    moments, axes = principal(state.tensor)
    u = body.longitudinal_uncertainty
    low, high = (
        principal(shape_in_motion(thicker(body, longitudinal=1 + s * u), shape).tensor)[0] for s in (-1, 1)
    )
    return Inertia(state.tensor, state.mass_centre, moments, axes, np.abs(high - low) / 2)


def somersault_inertia(body: Body, shape: Shape) -> float:
    """Inertia about the left-right axis: what counts in a somersault without twist.

    Units
        m²

    Source
        as `inertia`

    Example
        >>> from loftbook.mechanics import body, straight
        >>> round(somersault_inertia(body(1.60, "female", age=16), straight()) / 1.60**2, 2)
        0.06
    """
    return float(shape_in_motion(body, shape).tensor[0, 0])


def principal(tensor: Array) -> tuple[Array, Array]:
    """Principal moments, least first, and their axes as columns; the first axis points towards the head.

    Units
        tensor : (..., 3, 3) m²; returns (..., 3) and (..., 3, 3)

    Source
        law: a symmetric tensor has three square axes

    Example
        >>> principal(np.diag([2.0, 3.0, 1.0]))[0].tolist()
        [1.0, 2.0, 3.0]
    """
    moments, axes = np.linalg.eigh(tensor)
    axes = axes * np.where(axes[..., 2:3, :] < 0, -1.0, 1.0)
    handed = np.linalg.det(axes)
    axes[..., :, 2] *= np.sign(handed)[..., None]
    return moments, axes


def tensors(states: Array) -> Array:
    """The kernel's six numbers of inertia as full tensors.

    Units
        states : (..., 21); returns (..., 3, 3) m²

    Source
        layout of `kernel`

    Example
        >>> tensors(np.arange(21.0))[0].tolist()
        [0.0, 3.0, 4.0]
    """
    return np.asarray(states)[..., [[0, 3, 4], [3, 1, 5], [4, 5, 2]]]
