"""Fly a plan: every frame of the figure, the curves, and what the flight was, as JSON values."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import lru_cache
from typing import Any

import numpy as np

from loftbook.desk.lab.fan_words import leans
from loftbook.desk.lab.named import EDITION, LEANS, Named, landing_words, named, off_words, shape_words
from loftbook.desk.lab.planned import LabPlan
from loftbook.errors import PlanError
from loftbook.mechanics import Flight, Turns, arc_of_time, count_turns, fly
from loftbook.mechanics.arrays import Array
from loftbook.mechanics.ballistic import mass_centre_path
from loftbook.mechanics.body import ANGLE_NAMES, ANKLE_FROM_HEEL, SEGMENT_NAMES, Body
from loftbook.mechanics.flight import Trust, spins
from loftbook.mechanics.plan import angles_at, curves
from loftbook.mechanics.rotation import matrix
from loftbook.units import degrees_from_radians, turn

FRAMES = (2, 241)
USUAL_FRAMES = 61
CAUTION = (
    "A model to think with. It says what a flight would do, not that anybody should try it: a qualified coach decides, "
    "with suitable mats and rig, and the local federation's rules come first. Stop on pain or fear."
)
_UPWARDS = frozenset({"pelvis", "mid_trunk", "upper_trunk", "head"})


@dataclass(frozen=True, eq=False)
class Flown:
    """A plan in the air, and what it was.

    Meaning
        times : (N,) s of the frames; angles : (N, 18) rad
        origins : (N, 16, 3) m in space, each segment's joint; turns : (N, 16, 4) w x y z, segment to space
        centre : (N, 3) m in space; the ground is where the toes leave the bed, z upwards
    """

    lab: LabPlan
    flight: Flight
    counted: Turns
    named: Named
    times: Array
    angles: Array
    origins: Array
    rotations: Array
    centre: Array

    @property
    def bones(self) -> list[Array]:
        """(3,) m each, from a segment's joint to its end, in its own frame."""
        lengths = self.lab.person.body.lengths
        parts = [name.removeprefix("left_").removeprefix("right_") for name in SEGMENT_NAMES]
        return [np.array(bone(part, lengths[part])) for part in parts]


def flown(lab: LabPlan, *, frames: int = USUAL_FRAMES) -> Flown:
    """Fly a plan and place every segment in space at so many instants, evenly from take-off to landing."""
    body = lab.person.body
    flight = fly(body, lab.plan, lab.take_off, duration=lab.duration)
    if flight.verdict.trust is Trust.NONE:
        raise PlanError(
            "a flight that does not end in numbers", "a plan that a body can follow", "move its keys"
        )
    counted = count_turns(flight)
    times = np.linspace(0.0, lab.duration, frames)
    own, joints, middles = _shapes(body, lab, times)
    R = matrix(_turned(flight, times))
    rise = mass_centre_path(arc_of_time(lab.duration), times)
    origins = np.einsum("nij,nsj->nsi", R, joints - middles[:, None]) + rise[:, None]
    rotations = np.einsum("nij,nsjk->nsik", R, own)
    floor = float(_toes(body, origins[:1], rotations[:1])[..., 2].min())
    lift = np.array([0.0, 0.0, -floor])
    # what the flight was must not depend on how many figures are drawn
    often = times if frames == USUAL_FRAMES else np.linspace(0.0, lab.duration, USUAL_FRAMES)
    every = angles_at(lab.plan, often)
    step, rest = divmod(USUAL_FRAMES - 1, frames - 1)
    angles = every[::step] if rest == 0 else angles_at(lab.plan, times)
    found = named(lab, counted, often, every)
    return Flown(lab, flight, counted, found, times, angles, origins + lift, rotations, rise + lift)


def leaning(one: Flown) -> Flown:
    """The same flight as it stands over a bed, leaning into its somersault, toes on the bed; the studio draws it so.

    The lean is half of the quarter that recorded somersaults do not turn in the air.

    Source
        law: a flight turned as a whole about its mass centre is the same flight, since gravity does not turn a body
    """
    half = (LEANS / 4) * turn * (-1.0 if one.counted.somersaults < 0 else 1.0)
    lean = matrix(np.array([np.cos(half), np.sin(half), 0.0, 0.0]))
    origins = one.centre[:, None] + (one.origins - one.centre[:, None]) @ lean.T
    rotations = lean @ one.rotations
    floor = float(_toes(one.lab.person.body, origins[:1], rotations[:1])[..., 2].min())
    down = np.array([0.0, 0.0, -floor])
    return replace(one, origins=origins + down, rotations=rotations, centre=one.centre + down)


def fly_plan(lab: LabPlan, *, frames: int = USUAL_FRAMES) -> dict[str, Any]:
    """The answer of the lab to a plan: body, frames, curves, result. See the contract of the lab."""
    return flown_json(flown(lab, frames=frames))


def flown_json(one: Flown) -> dict[str, Any]:
    """A flight as JSON values: metres, seconds, degrees, turns; quaternions w x y z."""
    at, flight = one.times, one.flight
    return {
        "version": 1,
        "body": body_json(one.lab.person.body),
        "frames": frames_json(at, one.angles * (180 / np.pi), one.origins, one.rotations, one.centre),
        "curves": curves_json(flight, one.counted, at),
        "result": _result(one),
        "verdict": {"trust": flight.verdict.trust.value, "sentence": flight.verdict.sentence},
        "caution": CAUTION,
    }


def frames_json(
    at: Array, angles_deg: Array, origins: Array, rotations: Array, centre: Array
) -> dict[str, Any]:
    """The figure instant by instant as JSON values: s, degrees, m, quaternions w x y z, m."""
    return {
        "times_s": np.round(at, 4).tolist(),
        "angles_deg": (np.round(angles_deg, 2) + 0.0).tolist(),
        "origins_m": (np.round(origins, 4) + 0.0).tolist(),
        "turns": (np.round(_quaternions(rotations), 5) + 0.0).tolist(),
        "mass_centre_m": (np.round(centre, 4) + 0.0).tolist(),
    }


def curves_json(flight: Flight, counted: Turns, at: Array) -> dict[str, list[float]]:
    """Somersault, tilt, twist and spin at these instants (s), of a planned flight or of a recorded one."""
    spin = np.linalg.norm(spins(flight), axis=1) / turn

    def curve(values: Array, digits: int) -> list[float]:
        found: list[float] = (np.round(np.interp(at, flight.times, values), digits) + 0.0).tolist()
        return found

    return {
        "somersault_turns": curve((counted.somersault - counted.somersault[0]) / turn, 4),
        "tilt_deg": curve(np.degrees(counted.tilt), 2),
        "twist_turns": curve((counted.twist - counted.twist[0]) / turn, 4),
        "spin_turns_per_s": curve(spin, 3),
    }


@lru_cache(maxsize=64)  # a drag asks for the same body again and again
def body_json(body: Body) -> dict[str, Any]:
    """The figure: its segments as a tree, each hung on its parent and turned by its joint angles in order.

    A segment's turn in its parent is the product of its `turns` from first to last; its bone runs from its
    origin along `bone_m`, in its own frame. The radius follows from the model's inertia about the bone.
    """
    skeleton = body.skeleton
    segments = []
    for i, name in enumerate(SEGMENT_NAMES):
        first, last = int(skeleton.turn_start[i]), int(skeleton.turn_start[i + 1])
        part = name.removeprefix("left_").removeprefix("right_")
        segments.append(
            {
                "name": name,
                "parent": int(skeleton.parents[i]),
                "joint_m": np.round(skeleton.offsets[i], 4).tolist(),
                "bone_m": bone(part, body.lengths[part]),
                "radius_m": round(float(np.sqrt(2 * _about_bone(body, i, part))), 4),
                "turns": [
                    {
                        "axis": "xyz"[int(skeleton.turn_axis[k])],
                        "share": float(skeleton.turn_share[k]),
                        "angle": ANGLE_NAMES[int(skeleton.turn_angle[k])],
                    }
                    for k in range(first, last)
                ],
            }
        )
    return {"stature_m": body.stature, "angle_names": list(ANGLE_NAMES), "segments": segments}


def _result(one: Flown) -> dict[str, Any]:
    found, aim = one.named, one.lab.aim
    somersault, twist, tilt = landing_words(aim, one.counted)
    skill = found.skill
    return {
        "somersaults_in_the_air": round(one.counted.somersaults, 4),
        "twists": round(one.counted.twists, 4),
        "tilt_at_landing_deg": _deg(tilt),
        "notation": found.notation,
        "direction": skill.direction.value if skill else None,
        "quarters": skill.quarters if skill else None,
        "half_twists": list(skill.half_twists) if skill else None,
        "half_twists_made": [round(h, 3) for h in found.halves],
        "shape": found.shape.value,
        "shape_edition": EDITION,
        "opening_deg": {"hip": _deg(found.hip), "knee": _deg(found.knee), "at_s": round(found.closed_at, 3)},
        "off_the_notation_deg": {"somersault": _deg(found.somersault_over), "twist": _deg(found.twist_over)},
        "off_the_aim_deg": None if aim is None else {"somersault": _deg(somersault), "twist": _deg(twist)},
        "off_in_words": "" if aim is None else _off_aim(somersault, twist, tilt),
        "sentence": _sentence(one),
    }


def _off_aim(somersault: float, twist: float, tilt: float) -> str:
    lean = leans(degrees_from_radians(tilt), degrees_from_radians(tilt))
    still = "" if lean == "not at all" else f", still leaning {lean}"
    return f"{off_words(somersault, 'round')}, {off_words(twist, 'twisted')}{still}"


def _sentence(one: Flown) -> str:
    found, made = one.named, one.counted
    turned = (
        f"{abs(made.somersaults):.2f} somersaults and {abs(made.twists):.2f} twists in {one.lab.duration:.2f} s in "
        "the air; the leans at take-off and landing make up a quarter of a somersault"
    )
    if found.skill is None:
        return f"{turned}: {found.words}."
    exact = ""
    if max(abs(found.somersault_over), abs(found.twist_over)) > np.pi / 8:
        exact = (
            f", but {off_words(found.somersault_over, 'round')} and {off_words(found.twist_over, 'twisted')}"
        )
    first = f"{found.words[0].upper()}{found.words[1:]} ({found.notation}){exact}"
    return f"{first}. {turned}. {shape_words(found)}."


def _shapes(body: Body, lab: LabPlan, times: Array) -> tuple[Array, Array, Array]:
    """Segments' rotations and joints seen from the pelvis, and the mass centre there, at each instant."""
    from loftbook.mechanics.kernel import STATE
    from loftbook.mechanics.segment_motion import SegmentMotion, follow_segments

    count, size = len(times), len(SEGMENT_NAMES)
    states = np.empty((count, STATE))
    motion = SegmentMotion(
        np.empty((count, size, 3, 3)),
        *(np.empty((count, size, 3)) for _ in range(3)),
    )
    follow_segments(body.skeleton, curves(lab.plan), times, states, motion)
    return motion.rotations, motion.joints, states[:, 9:12]


def _turned(flight: Flight, times: Array) -> Array:
    """Orientations at other instants: great circles between the steps, which are less than a few degrees apart."""
    q = flight.orientations
    k = np.clip(np.searchsorted(flight.times, times, side="right") - 1, 0, len(q) - 2)
    u = ((times - flight.times[k]) / (flight.times[k + 1] - flight.times[k]))[:, None]
    a, b = q[k], q[k + 1]
    b = np.where(np.sum(a * b, axis=1, keepdims=True) < 0, -b, b)
    half = np.arccos(np.clip(np.sum(a * b, axis=1, keepdims=True), -1.0, 1.0))
    sine = np.maximum(np.sin(half), 1e-9)
    near = half < 1e-6
    wa = np.where(near, 1 - u, np.sin((1 - u) * half) / sine)
    wb = np.where(near, u, np.sin(u * half) / sine)
    return np.asarray(wa * a + wb * b)


def _toes(body: Body, origins: Array, rotations: Array) -> Array:
    """(N, 2, 3) m in space."""
    tip = np.array(bone("foot", body.lengths["foot"]))
    feet = [SEGMENT_NAMES.index(f"{side}_foot") for side in ("left", "right")]
    return np.asarray(origins[:, feet] + rotations[:, feet] @ tip)


def bone(part: str, length: float) -> list[float]:
    """From a segment's joint to its end, m, in its own frame."""
    if part == "foot":
        return [0.0, round((1 - ANKLE_FROM_HEEL) * length, 4), 0.0]
    return [0.0, 0.0, round(length if part in _UPWARDS else -length, 4)]


def _about_bone(body: Body, i: int, part: str) -> float:
    """Square of the radius of gyration about the bone, m²; of a cylinder it is half the radius squared."""
    axis = 1 if part == "foot" else 2
    return float(body.skeleton.inertias[i, axis] / body.skeleton.fractions[i])


def _quaternions(R: Array) -> Array:
    """(N, S, 4) w x y z, without sudden changes of sign from frame to frame."""
    from scipy.spatial.transform import Rotation

    flat = Rotation.from_matrix(R.reshape(-1, 3, 3)).as_quat(scalar_first=True).reshape(*R.shape[:2], 4)
    signs = np.where(np.sum(flat[1:] * flat[:-1], axis=-1) < 0, -1.0, 1.0)
    return np.asarray(flat * np.concatenate([np.ones((1, R.shape[1])), np.cumprod(signs, axis=0)])[..., None])


def _deg(angle: float) -> float:
    return round(degrees_from_radians(angle), 2) + 0.0
