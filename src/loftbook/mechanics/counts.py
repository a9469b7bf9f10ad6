"""Counting what a flight turned: somersaults, twists, tilt, and which way of turning it was.

Counted about the principal axes, since the pelvis misleads when hips are flexed: the axis of least inertia is then
up to 30° off the trunk.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np

from loftbook.errors import RangeError
from loftbook.mechanics.arrays import Array
from loftbook.mechanics.flight import Flight, rigid_energy
from loftbook.mechanics.inertia import principal
from loftbook.mechanics.rotation import matrix
from loftbook.units import turn

Mode = Literal["twisting", "wobbling"]
TOLD = 0.7  # cosine of the most that the long axis turns in the body from one instant to the next and is still followed


@dataclass(frozen=True, eq=False)
class Turns:
    """Somersault, tilt and twist along a flight.

    Units
        times : (N,) s
        somersault : (N,) rad, backward positive, whole turns counted; 0 is upright
        tilt : (N,) rad, of the long axis out of the somersault's plane, head to the right positive
        twist : (N,) rad about the long axis, to the left positive, whole turns counted
    """

    times: Array
    somersault: Array
    tilt: Array
    twist: Array

    @property
    def somersaults(self) -> float:
        """Turns of somersault from first to last instant."""
        return float(self.somersault[-1] - self.somersault[0]) / turn

    @property
    def twists(self) -> float:
        """Turns of twist from first to last instant."""
        return float(self.twist[-1] - self.twist[0]) / turn


def count_turns(flight: Flight, *, about: Literal["principal", "pelvis"] = "principal") -> Turns:
    """How often the body somersaulted and twisted, and how far it leaned.

    Units
        about : the axis of least inertia, or the pelvis's own long axis
        returns angles in rad along the flight

    Valid
        while the long axis is not within a few degrees of the momentum (a body that only twists has no somersault
        to count); instants closer than a quarter of a turn

    Raises
        RangeError for another axis

    Source
        angles in the order somersault, tilt, twist about the momentum; the axis is the one of least inertia

    Example
        >>> from loftbook.mechanics import Plan, TakeOff, body, fly, straight
        >>> held = fly(body(1.5, "female", age=12), Plan(straight()), TakeOff((0.9, 0, 0)), duration=1.0)
        >>> round(abs(count_turns(held).twists), 9)
        0.0
    """
    if about not in ("principal", "pelvis"):
        raise RangeError(f"turns about {about!r}", "'principal' or 'pelvis'", "choose one of them")
    R = matrix(flight.orientations)
    frame = momentum_axes(flight.momentum, right=R[0, :, 0])
    axis = _long_axes(flight) if about == "principal" else np.tile([0.0, 0.0, 1.0], (len(R), 1))
    side = np.array([1.0, 0.0, 0.0]) - axis[:, :1] * axis
    side /= np.linalg.norm(side, axis=1, keepdims=True)
    front = np.cross(axis, side)
    along, f, g = (np.einsum("ij,njk,nk->ni", frame, R, v) for v in (axis, side, front))
    return Turns(
        times=flight.times,
        somersault=np.unwrap(np.arctan2(-along[:, 1], along[:, 2])),
        tilt=np.arctan2(along[:, 0], np.hypot(along[:, 1], along[:, 2])),
        twist=np.unwrap(np.arctan2(-g[:, 0], f[:, 0])),
    )


def mode_at(flight: Flight, time: float) -> Mode:
    """Would this body go on twisting the same way, or only wobble, if it froze now?

    In the twisting mode twist goes on and on; in the wobbling mode it sways to one side and comes back.

    Units
        time : s, within the flight

    Raises
        RangeError for a time outside the flight

    Source
        law (Poinsot): the momentum circles the axis of least inertia when 2 E I_mid > H², else that of most
        inertia

    Example
        >>> from loftbook.mechanics import Plan, TakeOff, body, fly, straight, rotation
        >>> leaning = TakeOff(momentum=(0.9, 0, 0), orientation=rotation.orientation(tilt=0.15))
        >>> mode_at(fly(body(1.5, "female", age=12), Plan(straight()), leaning, duration=1.0), 0.5)
        'twisting'
    """
    if not flight.times[0] <= time <= flight.times[-1]:
        raise RangeError(
            f"time is {time!r} s; the flight lasts from {flight.times[0]:g} to {flight.times[-1]:g} s."
        )
    n = int(np.argmin(np.abs(flight.times - time)))
    return mode_of(float(rigid_energy(flight)[n]), principal(flight.tensors[n])[0], flight.momentum)


def mode_of(energy: float, moments: Array, momentum: Array) -> Mode:
    """Twisting or wobbling, from energy, principal moments and momentum.

    Units
        energy : m²/s²; moments : (3,) m², least first; momentum : (3,) m²/s

    Source
        law (Poinsot), as `mode_at`

    Example
        >>> mode_of(1.0, np.array([0.1, 1.0, 1.1]), np.array([1.0, 0, 0]))
        'twisting'
    """
    return "twisting" if 2 * energy * moments[1] > float(np.dot(momentum, momentum)) else "wobbling"


def momentum_axes(momentum: Array, *, right: Array) -> Array:
    """The frame in which turns are counted: somersault axis, forward, and up as near as the momentum allows.

    Units
        momentum : (3,); right : (3,) where the body's right side points at take-off
        returns (3, 3), rows are unit vectors in space. The first lies along the momentum and points to the body's
        right, so that a backward somersault counts positive whichever way she faces.

    Source
        definition: docs/symbols.md

    Example
        >>> momentum_axes(np.array([-1.0, 0, 0]), right=np.array([1.0, 0, 0])).tolist()
        [[1.0, 0.0, 0.0], [0.0, 1.0, 0.0], [0.0, 0.0, 1.0]]
    """
    size = float(np.linalg.norm(momentum))
    if size == 0.0 or abs(momentum[2]) > 0.999999 * size:
        return np.eye(3)
    axis = np.asarray(momentum, dtype=float) / size * (1.0 if momentum @ right >= 0 else -1.0)
    up = np.array([0.0, 0.0, 1.0]) - axis[2] * axis
    up /= np.linalg.norm(up)
    return np.stack([axis, np.cross(up, axis), up]) + 0.0


def _long_axes(flight: Flight) -> Array:
    """Axis of least inertia at each instant, without sudden changes of its sense.

    In a deep pike two moments may pass each other, and the axis then turns by about a right angle within a step:
    which end is the head's cannot be told from the step before, so the pelvis says it.
    """
    axes = principal(flight.tensors)[1][:, :, 0]
    along = np.einsum("ni,ni->n", axes[1:], axes[:-1])
    senses = np.where(along < 0, -1.0, 1.0)
    sense = np.ones(len(axes))
    for n in range(1, len(axes)):
        told = abs(along[n - 1]) >= TOLD
        sense[n] = sense[n - 1] * senses[n - 1] if told else (1.0 if axes[n, 2] >= 0 else -1.0)
    return np.asarray(axes * sense[:, None])
