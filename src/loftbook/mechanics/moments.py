"""Moments between the parts of a body in flight: what hips and trunk must pull so that it moves as it does.

In the air gravity loads no joint: every part falls alike. What loads them is the spin, which throws the parts outwards,
and the closing and opening themselves.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from loftbook.errors import ShapeError
from loftbook.mechanics.arrays import Array
from loftbook.mechanics.body import SEGMENT_NAMES, Body
from loftbook.mechanics.flight import Flight, spins
from loftbook.mechanics.inertia import shape_in_motion
from loftbook.mechanics.plan import Plan, curves
from loftbook.mechanics.shape import Shape

LEGS = {side: [i for i, n in enumerate(SEGMENT_NAMES) if n in {f"{side}_thigh", f"{side}_shank", f"{side}_foot"}]
        for side in ("left", "right")}  # fmt: skip
_ALL_LEGS = set(LEGS["left"]) | set(LEGS["right"])
ABOVE_THE_WAIST = [i for i, n in enumerate(SEGMENT_NAMES) if n != "pelvis" and i not in _ALL_LEGS]
_THIGHS = {side: SEGMENT_NAMES.index(f"{side}_thigh") for side in ("left", "right")}
_WAIST = SEGMENT_NAMES.index("mid_trunk")


@dataclass(frozen=True, eq=False)
class JointMoments:
    """Moments at hips and waist along a flight, per kilogram of body mass.

    Units
        times : (N,) s
        left_hip, right_hip : (N, 3) m²/s², from pelvis on leg; about x it is flexion
        waist : (N, 3) m²/s², from pelvis on the trunk above; about x, negative is flexion
        all in the pelvis's frame: right, forward, up
    """

    times: Array
    left_hip: Array
    right_hip: Array
    waist: Array


def moments_along(body: Body, plan: Plan, flight: Flight) -> JointMoments:
    """What the hips and the waist must pull along a flight, so that the body moves as planned.

    Units
        flight : the same plan, flown by `fly` with evenly spaced instants, not coarser than 5 ms
        returns moments per kilogram of body mass, m²/s²

    Valid
        no contact between hands and legs: what the hands pull, the hips need not. Abrupt closing and opening ask for
        large moments; they are as true as the smooth curve assumed for them.

    Raises
        ShapeError when the flight has fewer than five instants

    Source
        law (Newton, Euler): the sum of (r - joint) x m a and of the change of each segment's own angular momentum

    Example
        >>> from loftbook.mechanics import Plan, TakeOff, body, fly, tuck
        >>> girl, held = body(1.5, "female", age=12), Plan(tuck())
        >>> found = moments_along(girl, held, fly(girl, held, TakeOff((0.5, 0, 0)), duration=0.5))
        >>> bool(found.left_hip[:, 0].min() > 0)
        True
    """
    if len(flight.times) < 5:
        raise ShapeError(
            f"a flight of {len(flight.times)} instants", "at least 5", "fly it with more steps: steps=256"
        )
    r, spin, rotations, joints = _seen_from_pelvis(body, plan, flight)
    turn = spins(flight)
    step = float(flight.times[1] - flight.times[0])
    speed = r[1] + np.cross(turn[:, None], r[0])
    acceleration = _rate(speed, turn, step)
    inertia = np.einsum("nsij,sj,nskj->nsik", rotations, body.skeleton.inertias, rotations)
    own = np.einsum("nsij,nsj->nsi", inertia, spin + turn[:, None])
    own_change = _rate(own, turn, step)
    force = body.skeleton.fractions[:, None] * acceleration

    def at(joint: int, parts: list[int]) -> Array:
        arm = r[0][:, parts] - joints[:, joint][:, None]
        return np.asarray((np.cross(arm, force[:, parts]) + own_change[:, parts]).sum(axis=1))

    return JointMoments(
        flight.times,
        at(_THIGHS["left"], LEGS["left"]),
        at(_THIGHS["right"], LEGS["right"]),
        at(_WAIST, ABOVE_THE_WAIST),
    )


def moments_held(body: Body, shape: Shape, spin: float) -> tuple[float, float]:
    """What hips (both together) and waist must pull to hold a shape that spins steadily about the left-right axis.

    Units
        spin : rad/s; returns two moments of flexion, m²/s² per kilogram of body mass

    Valid
        a shape alike on both sides, spinning about the left-right axis

    Source
        law: each part needs the force m r w² towards the axis

    Example
        >>> from loftbook.mechanics import body, open_tuck, straight
        >>> girl = body(1.5, "female", age=12)
        >>> hip, waist = moments_held(girl, open_tuck(), 10.0)
        >>> hip > 0 and waist > 0
        True
    """
    state = shape_in_motion(body, shape)
    places = (
        state.joints + np.einsum("sij,sj->si", state.rotations, body.skeleton.centres) - state.mass_centre
    )
    joints = state.joints - state.mass_centre
    force = -(spin**2) * body.skeleton.fractions[:, None] * places * np.array([0.0, 1.0, 1.0])

    def at(joint: int, parts: list[int]) -> float:
        return float(np.cross(places[parts] - joints[joint], force[parts]).sum(axis=0)[0])

    hips = at(_THIGHS["left"], LEGS["left"]) + at(_THIGHS["right"], LEGS["right"])
    return hips, -at(_WAIST, ABOVE_THE_WAIST)


def _seen_from_pelvis(
    body: Body, plan: Plan, flight: Flight
) -> tuple[tuple[Array, Array], Array, Array, Array]:
    """Segment centres with their speeds, spins, rotations and joints about the mass centre, in the pelvis's frame."""
    from loftbook.mechanics.segment_motion import SegmentMotion, follow_segments
    from loftbook.mechanics.stepping import STATE

    count, segments = len(flight.times), len(body.skeleton.parents)
    states = np.empty((count, STATE))
    vectors = (np.empty((count, segments, 3)) for _ in range(3))
    motion = SegmentMotion(np.empty((count, segments, 3, 3)), *vectors)
    follow_segments(body.skeleton, curves(plan), flight.times, states, motion)
    centre, centre_speed = states[:, None, 9:12], states[:, None, 12:15]
    arm = np.einsum("nsij,sj->nsi", motion.rotations, body.skeleton.centres)
    places = motion.joints + arm - centre
    speeds = motion.speeds + np.cross(motion.spins, arm) - centre_speed
    return (places, speeds), motion.spins, motion.rotations, motion.joints - centre


def _rate(vectors: Array, turn: Array, step: float) -> Array:
    """Rate of change in space of vectors (N, S, 3) that are given in the turning pelvis's frame."""
    return np.asarray(np.gradient(vectors, step, axis=0, edge_order=2) + np.cross(turn[:, None], vectors))
