"""Bodies of a second source, for testing only: solids that the segment tables measure, skinned without any model.

The lessons' bodies come from `anny`. These come from `loftbook.mechanics`: each limb is the round, each part of the
trunk the oval cylinder and the head the ellipsoid whose radii of gyration the published table gives, a little shaped.
Truth is the skeleton's own joint centres. Mesh, skinning, joint places and renderer are others than in the lessons; how
the joints of a shape are named and bent is the same, since both use `loftbook.mechanics`.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise
from math import sqrt

import numpy as np

from loftbook.mechanics import Body, Shape
from loftbook.mechanics.body import ANKLE_FROM_HEEL, SEGMENT_NAMES
from loftbook.mechanics.inertia import shape_in_motion
from loftbook.mechanics.segments import segments_for

ROUND = 20  # corners of a ring
Rings = list[
    tuple[np.ndarray, np.ndarray, float, float]
]  # centre, turning, half-widths across and front to back
KEYPOINTS = (
    *("nose", "left_eye", "right_eye", "left_ear", "right_ear", "left_shoulder", "right_shoulder"),
    *("left_elbow", "right_elbow", "left_wrist", "right_wrist", "left_hip", "right_hip"),
    *("left_knee", "right_knee", "left_ankle", "right_ankle"),
    *("left_big_toe", "right_big_toe", "left_small_toe", "right_small_toe", "left_heel", "right_heel"),
)


@dataclass(frozen=True)
class Looks:
    """Colours (linear, 0 to 1) and cuts: how long sleeves and legs are as a share of the limb, bun, hair."""

    skin: tuple[float, float, float]
    cloth: tuple[float, float, float]
    stripe: tuple[float, float, float]
    hair: tuple[float, float, float]
    socks: tuple[float, float, float] | None
    sleeve: float
    leg: float
    bun: bool


@dataclass
class Skin:
    """Corners, triangles and the colour of each corner, as they grow."""

    corners: list[np.ndarray]
    faces: list[np.ndarray]
    colours: list[np.ndarray]
    count: int = 0

    def add(self, corners: np.ndarray, faces: np.ndarray, colours: np.ndarray) -> None:
        """One more solid."""
        self.corners.append(corners)
        self.faces.append(faces + self.count)
        self.colours.append(np.broadcast_to(colours, corners.shape))
        self.count += len(corners)


def tube(rings: Rings) -> tuple[np.ndarray, np.ndarray]:
    """Ovals joined to one closed skin."""
    turn = np.linspace(0, 2 * np.pi, ROUND, endpoint=False)
    circle = np.stack([np.cos(turn), np.sin(turn), 0 * turn], 1)
    corners = np.concatenate(
        [[rings[0][0]], *[c + (circle * [a, b, 0]) @ R.T for c, R, a, b in rings], [rings[-1][0]]]
    )
    k = np.arange(ROUND)
    after = (k + 1) % ROUND
    faces = [np.stack([0 * k, 1 + after, 1 + k], 1)]
    for n in range(len(rings) - 1):
        here, there = 1 + n * ROUND, 1 + (n + 1) * ROUND
        faces += [
            np.stack([here + k, here + after, there + k], 1),
            np.stack([here + after, there + after, there + k], 1),
        ]
    top = 1 + (len(rings) - 1) * ROUND
    faces.append(np.stack([0 * k + len(corners) - 1, top + k, top + after], 1))
    return corners, np.concatenate(faces)


def limb(at: np.ndarray, R: np.ndarray, length: float, radii: list[float]) -> Rings:
    """Rings down a limb that hangs along -z, with round ends; radii at equal steps from joint to joint."""
    ends = np.sin(np.linspace(-np.pi / 2, 0, 5)[:-1])
    along = [(radii[0] * -e, radii[0] * sqrt(1 - e * e)) for e in ends]
    steps = np.linspace(0, 1, 13)
    along += [(-s * length, float(np.interp(s, np.linspace(0, 1, len(radii)), radii))) for s in steps]
    along += [(-length + radii[-1] * e, radii[-1] * sqrt(1 - e * e)) for e in ends[::-1]]
    return [(at + R @ np.array([0, 0, z]), R, max(r, 1e-4), max(r, 1e-4)) for z, r in along]


def ball(at: np.ndarray, R: np.ndarray, half: tuple[float, float, float]) -> Rings:
    """Rings of an ellipsoid."""
    turns = np.linspace(-np.pi / 2, np.pi / 2, 15)
    return [
        (
            at + R @ np.array([0, 0, half[2] * np.sin(u)]),
            R,
            half[0] * np.cos(u) + 1e-4,
            half[1] * np.cos(u) + 1e-4,
        )
        for u in turns
    ]


def halves(body: Body, name: str) -> tuple[float, float, float]:
    """Half-widths across, front to back and along of the solid with the table's radii of gyration, m.

    Source: definition of the moments of an oval cylinder (head: of an ellipsoid) and de Leva's table 4.
    """
    s = next(one for one in segments_for(body.stature, body.sex, body.age) if one.name == name)
    across, deep, long = s.r_transverse, s.r_sagittal, s.r_longitudinal
    k = 2.5 if name == "head" else 2.0
    a, b = k * (long**2 + deep**2 - across**2), k * (long**2 + across**2 - deep**2)
    c = 2.5 * (across**2 + deep**2 - long**2) if name == "head" else 0.25
    return sqrt(a) * s.length, sqrt(b) * s.length, sqrt(c) * s.length


def skinned(
    body: Body, shape: Shape, looks: Looks, stout: float = 1.0
) -> tuple[np.ndarray, np.ndarray, np.ndarray, np.ndarray]:
    """Corners (m, from the mass centre, pelvis's frame), triangles, colours, and the 23 key points.

    stout : factor on all half-widths
    """
    state = shape_in_motion(body, shape)
    at = {n: (state.joints[i] - state.mass_centre, state.rotations[i]) for i, n in enumerate(SEGMENT_NAMES)}
    skin = Skin([], [], [])
    _trunk(skin, body, at, looks, stout)
    _head(skin, body, at, looks)
    for side in ("left", "right"):
        _arm(skin, body, at, looks, side, stout)
        _leg(skin, body, at, looks, side, stout)
    points = _points(body, at)
    return np.concatenate(skin.corners), np.concatenate(skin.faces), np.concatenate(skin.colours), points


def _mean_radius(body: Body, name: str) -> float:
    s = next(one for one in segments_for(body.stature, body.sex, body.age) if one.name == name)
    return sqrt(2) * s.r_longitudinal * s.length


def _trunk(skin: Skin, body: Body, at: dict, looks: Looks, stout: float) -> None:
    p, m, u = (halves(body, n) for n in ("pelvis", "mid_trunk", "upper_trunk"))
    L = body.lengths
    rows = [
        ("pelvis", -0.42, 0.35 * p[0], 0.5 * p[1]), ("pelvis", -0.3, 0.75 * p[0], 0.85 * p[1]),
        ("pelvis", 0.0, p[0], 1.05 * p[1]), ("pelvis", 0.5, p[0], p[1]),
        ("mid_trunk", 0.15, 0.97 * m[0], m[1]), ("mid_trunk", 0.6, 0.95 * m[0], 0.95 * m[1]),
        ("upper_trunk", 0.1, 0.88 * u[0], u[1]), ("upper_trunk", 0.45, 0.92 * u[0], 1.08 * u[1]),
        ("upper_trunk", 0.7, 0.85 * u[0], 0.95 * u[1]), ("upper_trunk", 0.88, 0.55 * u[0], 0.7 * u[1]),
        ("upper_trunk", 1.0, 0.3 * u[0], 0.5 * u[1]),
    ]  # fmt: skip
    rings = []
    for name, along, a, b in rows:
        joint, R = at[name]
        rings.append((joint + R @ np.array([0, 0, along * L[name]]), R, stout * a, stout * b))
    fine: Rings = []
    for (c, R, a, b), (c2, R2, a2, b2) in pairwise(rings):
        for w in (0.0, 0.25, 0.5, 0.75):
            V, _, W = np.linalg.svd((1 - w) * R + w * R2)
            fine.append(((1 - w) * c + w * c2, V @ W, (1 - w) * a + w * a2, (1 - w) * b + w * b2))
    fine.append(rings[-1])
    corners, faces = tube(fine)
    ring = np.clip((np.arange(len(corners)) - 1) // ROUND, 0, len(fine) - 1)
    share = ring / len(fine)
    striped = (share > 0.55) & (share < 0.66)
    colours = np.where(striped[:, None], looks.stripe, looks.cloth)
    colours = np.where((share > 0.93)[:, None], looks.skin, colours)
    skin.add(corners, faces, colours)


def _head(skin: Skin, body: Body, at: dict, looks: Looks) -> None:
    joint, R = at["head"]
    a, b, c = halves(body, "head")
    middle = joint + R @ np.array([0, 0.02 * body.stature / 1.6, body.lengths["head"] - c])
    skin.add(*tube(limb(middle, R, body.lengths["head"] - c, [0.05, 0.045, 0.055])), np.array(looks.skin))
    corners, faces = tube(ball(middle, R, (a, b, c)))
    local = (corners - middle) @ R
    hairy = (local[:, 1] < 0.35 * b) & (local[:, 2] > -0.45 * c) | (local[:, 2] > 0.62 * c)
    skin.add(corners, faces, np.where(hairy[:, None], looks.hair, looks.skin))
    nose = middle + R @ np.array([0, 0.97 * b, -0.1 * c])
    skin.add(*tube(ball(nose, R, (0.014, 0.018, 0.022))), np.array(looks.skin))
    if looks.bun:
        bun = middle + R @ np.array([0, -0.95 * b, 0.55 * c])
        skin.add(*tube(ball(bun, R, (0.042, 0.04, 0.042))), np.array(looks.hair))


def _part(skin: Skin, rings: Rings, covered: float, cloth: tuple, bare: tuple) -> None:
    corners, faces = tube(rings)
    share = np.clip((np.arange(len(corners)) - 1) // ROUND, 0, len(rings) - 1) / len(rings)
    skin.add(corners, faces, np.where((share < covered)[:, None], cloth, bare))


def _arm(skin: Skin, body: Body, at: dict, looks: Looks, side: str, stout: float) -> None:
    r, f = stout * _mean_radius(body, "upper_arm"), stout * _mean_radius(body, "forearm")
    joint, R = at[f"{side}_upper_arm"]
    upper = limb(joint, R, body.lengths["upper_arm"], [1.05 * r, 0.95 * r, 0.85 * r, 0.72 * r])
    _part(skin, upper, min(looks.sleeve, 1.0), looks.cloth, looks.skin)
    joint, R = at[f"{side}_forearm"]
    lower = limb(joint, R, body.lengths["forearm"], [1.1 * f, 1.2 * f, 0.95 * f, 0.75 * f])
    _part(skin, lower, looks.sleeve - 1, looks.cloth, looks.skin)
    joint, R = at[f"{side}_hand"]
    h = body.lengths["hand"]
    skin.add(
        *tube(ball(joint + R @ np.array([0, 0, -0.6 * h]), R, (0.02, 0.045, 1.1 * h))), np.array(looks.skin)
    )


def _leg(skin: Skin, body: Body, at: dict, looks: Looks, side: str, stout: float) -> None:
    r, s = stout * _mean_radius(body, "thigh"), stout * _mean_radius(body, "shank")
    joint, R = at[f"{side}_thigh"]
    thigh = limb(joint, R, body.lengths["thigh"], [1.05 * r, 1.12 * r, 0.95 * r, 0.72 * r])
    _part(skin, thigh, min(looks.leg, 1.0), looks.cloth, looks.skin)
    joint, R = at[f"{side}_shank"]
    shank = limb(joint, R, body.lengths["shank"], [1.08 * s, 1.15 * s, 0.9 * s, 0.68 * s])
    _part(skin, shank, looks.leg - 1, looks.cloth, looks.skin)
    joint, R = at[f"{side}_foot"]
    L = body.lengths["foot"]
    colour = np.array(looks.socks or looks.skin)
    along = R @ np.array([[1, 0, 0], [0, 0, -1], [0, 1, 0]]).T  # the foot's length lies along its own z
    middle = joint + R @ np.array([0, (0.5 - ANKLE_FROM_HEEL) * L, -0.022 * body.stature])
    skin.add(*tube(ball(middle, along, (0.042, 0.036, 0.53 * L))), colour)


def _points(body: Body, at: dict) -> np.ndarray:
    joint, R = at["head"]
    a, b, c = halves(body, "head")
    middle = np.array([0, 0.02 * body.stature / 1.6, body.lengths["head"] - c])
    found = {"nose": joint + R @ (middle + np.array([0, b, -0.1 * c]))}
    for side, sign in (("left", -1.0), ("right", 1.0)):
        found[f"{side}_eye"] = joint + R @ (middle + np.array([sign * 0.35 * a, 0.9 * b, 0.1 * c]))
        found[f"{side}_ear"] = joint + R @ (middle + np.array([sign * a, 0, 0]))
        names = (("shoulder", "upper_arm"), ("elbow", "forearm"), ("wrist", "hand"))
        names += (("hip", "thigh"), ("knee", "shank"), ("ankle", "foot"))
        found |= {f"{side}_{joint}": at[f"{side}_{segment}"][0] for joint, segment in names}
        foot, F = at[f"{side}_foot"]
        L, low = body.lengths["foot"], -0.03 * body.stature
        found[f"{side}_big_toe"] = foot + F @ np.array([-sign * 0.02, (1 - ANKLE_FROM_HEEL) * L, low])
        found[f"{side}_small_toe"] = foot + F @ np.array([sign * 0.03, (0.85 - ANKLE_FROM_HEEL) * L, low])
        found[f"{side}_heel"] = foot + F @ np.array([0, -ANKLE_FROM_HEEL * L, low])
    return np.array([found[name] for name in KEYPOINTS])
