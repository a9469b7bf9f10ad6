"""Moments between the parts of a body in flight: what hips and trunk must pull so that it moves as it does.

In the air gravity loads no joint: every part falls alike. What loads them is the spin, which throws the parts outwards,
and the closing and opening themselves.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import NamedTuple

import numpy as np

from loftbook.mechanics.arrays import Array
from loftbook.mechanics.body import SEGMENT_NAMES, Body
from loftbook.mechanics.flight import Flight, spins
from loftbook.mechanics.inertia import shape_in_motion, tensors
from loftbook.mechanics.plan import Plan, curves
from loftbook.mechanics.shape import Shape

INSTANT = 1e-5  # s, either way, for rates of change; plans are smooth, so that any short time does
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
        flight : the same plan, flown by `fly`
        returns moments per kilogram of body mass, m²/s², at the flight's instants

    Valid
        no contact between hands and legs: what the hands pull, the hips need not. Abrupt closing and opening ask
        for large moments; they are as true as the smooth curve assumed for them.

    Source
        law (Newton, Euler): the sum of (r - joint) x m a and of the change of each segment's own angular momentum

    Example
        >>> from loftbook.mechanics import Plan, TakeOff, body, fly, tuck
        >>> girl, held = body(1.5, "female", age=12), Plan(tuck())
        >>> found = moments_along(girl, held, fly(girl, held, TakeOff((0.5, 0, 0)), duration=0.5))
        >>> bool(found.left_hip[:, 0].min() > 0)
        True
    """
    sooner, now, later = (
        _seen_from_pelvis(body, plan, flight.times + shift) for shift in (-INSTANT, 0.0, INSTANT)
    )
    spin = spins(flight)
    turn = spin[:, None]
    gain = _spin_gain(sooner, now, later, spin)[:, None]
    speed = now.speeds + np.cross(turn, now.places)
    change = (later.speeds - sooner.speeds) / (2 * INSTANT)
    change += np.cross(gain, now.places) + np.cross(turn, now.speeds)
    force = body.skeleton.fractions[:, None] * (change + np.cross(turn, speed))
    own = _own(now, turn)
    own_change = (_own(later, turn + INSTANT * gain) - _own(sooner, turn - INSTANT * gain)) / (2 * INSTANT)
    own_change += np.cross(turn, own)

    def at(joint: int, parts: list[int]) -> Array:
        arm = now.places[:, parts] - now.joints[:, joint][:, None]
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


class _Seen(NamedTuple):
    """Segments about the mass centre, in the pelvis's frame: places, speeds, spins, joints (N, S, 3), own inertias.

    tensors (N, 3, 3) and momenta (N, 3) are those of the whole body, as in `Flight`.
    """

    places: Array
    speeds: Array
    spins: Array
    joints: Array
    inertias: Array
    tensors: Array
    momenta: Array


def _seen_from_pelvis(body: Body, plan: Plan, times: Array) -> _Seen:
    from loftbook.mechanics.kernel import STATE
    from loftbook.mechanics.segment_motion import SegmentMotion, follow_segments

    count, segments = len(times), len(body.skeleton.parents)
    states = np.empty((count, STATE))
    vectors = (np.empty((count, segments, 3)) for _ in range(3))
    motion = SegmentMotion(np.empty((count, segments, 3, 3)), *vectors)
    follow_segments(body.skeleton, curves(plan), times, states, motion)
    centre, centre_speed = states[:, None, 9:12], states[:, None, 12:15]
    arm = np.einsum("nsij,sj->nsi", motion.rotations, body.skeleton.centres)
    return _Seen(
        places=motion.joints + arm - centre,
        speeds=motion.speeds + np.cross(motion.spins, arm) - centre_speed,
        spins=motion.spins,
        joints=motion.joints - centre,
        inertias=np.einsum("nsij,sj,nskj->nsik", motion.rotations, body.skeleton.inertias, motion.rotations),
        tensors=tensors(states),
        momenta=states[:, 6:9],
    )


def _own(seen: _Seen, turn: Array) -> Array:
    """Each segment's angular momentum about its own centre."""
    return np.asarray(np.einsum("nsij,nsj->nsi", seen.inertias, seen.spins + turn))


def _spin_gain(sooner: _Seen, now: _Seen, later: _Seen, spin: Array) -> Array:
    """How fast the pelvis's spin changes, so that the whole momentum stays what it is in space."""
    tensor_change = (later.tensors - sooner.tensors) / (2 * INSTANT)
    limbs_change = (later.momenta - sooner.momenta) / (2 * INSTANT)
    whole = np.einsum("nij,nj->ni", now.tensors, spin) + now.momenta
    left = -np.einsum("nij,nj->ni", tensor_change, spin) - limbs_change - np.cross(spin, whole)
    return np.asarray(np.linalg.solve(now.tensors, left[..., None])[..., 0])
