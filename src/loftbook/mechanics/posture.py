"""Where the joints, hands and feet of a shape are: for drawing it, and for reading its opening angles.

The opening angles are those that a camera sees: shoulder, hip, knee and hip, knee, ankle.
"""

from __future__ import annotations

import numpy as np

from loftbook.mechanics.arrays import Array
from loftbook.mechanics.body import ANKLE_FROM_HEEL, SEGMENT_NAMES, Body
from loftbook.mechanics.inertia import ShapeState, shape_in_motion
from loftbook.mechanics.rotation import matrix
from loftbook.mechanics.shape import Shape


def landmarks(body: Body, shape: Shape) -> dict[str, Array]:
    """Joints and ends of the body in a shape, seen from the middle of the hips.

    Units
        each (3,) m in the pelvis's frame: right, forward, up; their names are mid_hip, waist, chest, neck, crown, and
        left_ and right_ shoulder, elbow, wrist, fingers, hip, knee, ankle, toes

    Source
        segment lengths as in `body`

    Example
        >>> from loftbook.mechanics import body, straight
        >>> bool(landmarks(body(1.5, "female", age=12), straight())["left_wrist"][2] > 0.5)
        True
    """
    state = shape_in_motion(body, shape)
    at = {name: state.joints[i] for i, name in enumerate(SEGMENT_NAMES)}
    length = body.lengths
    points = {
        "mid_hip": at["pelvis"],
        "waist": at["mid_trunk"],
        "chest": at["upper_trunk"],
        "neck": at["head"],
        "crown": _end(state, "head", (0, 0, length["head"])),
    }
    for side in ("left", "right"):
        points |= {
            f"{side}_shoulder": at[f"{side}_upper_arm"],
            f"{side}_elbow": at[f"{side}_forearm"],
            f"{side}_wrist": at[f"{side}_hand"],
            f"{side}_fingers": _end(state, f"{side}_hand", (0, 0, -length["hand"])),
            f"{side}_hip": at[f"{side}_thigh"],
            f"{side}_knee": at[f"{side}_shank"],
            f"{side}_ankle": at[f"{side}_foot"],
            f"{side}_toes": _end(state, f"{side}_foot", (0, (1 - ANKLE_FROM_HEEL) * length["foot"], 0)),
        }
    return points


def landmarks_in_space(body: Body, shape: Shape, orientation: Array, mass_centre: Array) -> dict[str, Array]:
    """The same points in space, for one instant of a flight.

    Units
        orientation : (4,) quaternion; mass_centre : (3,) m in space; each point (3,) m in space

    Source
        law: points turn with the pelvis and keep their place about the mass centre

    Example
        >>> from loftbook.mechanics import body, straight
        >>> girl = body(1.5, "female", age=12)
        >>> up = landmarks_in_space(girl, straight(), np.array([1.0, 0, 0, 0]), np.array([0.0, 0, 3]))
        >>> bool(up["crown"][2] > 3)
        True
    """
    R = matrix(np.asarray(orientation, dtype=float))
    centre = shape_in_motion(body, shape).mass_centre
    return {name: mass_centre + R @ (point - centre) for name, point in landmarks(body, shape).items()}


def opening_angles(body: Body, shape: Shape) -> tuple[float, float]:
    """Hip and knee opening of a shape as a camera from the side would see them, left and right averaged.

    Units
        returns rad, π is straight

    Valid
        seen square from the side, both legs alike

    Source
        definition: angle shoulder-hip-knee and hip-knee-ankle

    Example
        >>> from loftbook.mechanics import body, straight, tuck
        >>> hip, knee = opening_angles(body(1.5, "female", age=12), tuck())
        >>> hip < 1.2, round(knee, 2)
        (True, 1.05)
    """
    p = landmarks(body, shape)
    shoulder = (p["left_shoulder"] + p["right_shoulder"]) / 2 * np.array([0.0, 1.0, 1.0])
    hips, knees = [], []
    for side in ("left", "right"):
        flat = {j: p[f"{side}_{j}"] * np.array([0.0, 1.0, 1.0]) for j in ("hip", "knee", "ankle")}
        hips.append(_angle(shoulder - flat["hip"], flat["knee"] - flat["hip"]))
        knees.append(_angle(flat["hip"] - flat["knee"], flat["ankle"] - flat["knee"]))
    return float(np.mean(hips)), float(np.mean(knees))


def hand_gap(body: Body, shape: Shape, *, along: float = 0.5) -> float:
    """How far the hands are from the shins: zero when they hold them.

    Units
        along : where on the shin, 0 at the knee, 1 at the ankle
        returns m, between the middle of the hand and that point of the shin, seen from the side, larger of both sides

    Source
        definition

    Example
        >>> from loftbook.mechanics import body, straight, tuck
        >>> girl = body(1.5, "female", age=12)
        >>> hand_gap(girl, tuck()) < 0.1 < hand_gap(girl, straight())
        True
    """
    p = landmarks(body, shape)
    gaps = []
    for side in ("left", "right"):
        hand = (p[f"{side}_wrist"] + p[f"{side}_fingers"]) / 2
        shin = p[f"{side}_knee"] + along * (p[f"{side}_ankle"] - p[f"{side}_knee"])
        gaps.append(float(np.linalg.norm((hand - shin)[1:])))
    return max(gaps)


def _end(state: ShapeState, name: str, offset: tuple[float, float, float]) -> Array:
    i = SEGMENT_NAMES.index(name)
    return np.asarray(state.joints[i] + state.rotations[i] @ np.array(offset))


def _angle(a: Array, b: Array) -> float:
    return float(np.arctan2(np.linalg.norm(np.cross(a, b)), a @ b))
