"""The studio's sixteen segments from what was recorded: places of joints, and which way each part was turned."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np

from loftbook.desk.lab.recording import Recording
from loftbook.film.posed import Posed
from loftbook.mechanics import body
from loftbook.mechanics.arrays import Array
from loftbook.mechanics.body import ANGLE_NAMES, SEGMENT_NAMES
from loftbook.mechanics.inertia import shape_in_motion
from loftbook.mechanics.rotation import matrix
from loftbook.mechanics.shape import shape_from

ANGLES = ("hips", "knees", "left arm", "right arm")
_UPWARDS = ("pelvis", "mid_trunk", "upper_trunk", "head")
_NEXT = {"upper_arm": "forearm", "forearm": "hand", "thigh": "shank", "shank": "foot"}


@dataclass(frozen=True, eq=False)
class Figure:
    """Somebody's segments over time.

    Units
        times : (N,) s; origins : (N, 16, 3) m; rotations : (N, 16, 3, 3) segment to space; centre : (N, 3) m
        bones : (16, 3) m in each segment's own frame; angles : (N, 4) rad of flexion of hips and knees, and of
        each arm away from the trunk; sees_twist : whether left and right were told apart
    """

    times: Array
    origins: Array
    rotations: Array
    centre: Array
    bones: Array
    angles: Array
    stature: float
    sees_twist: bool
    angle_names: tuple[str, ...] = ANGLES

    def at(self, times: Array) -> Placed:
        """Between the recorded instants: straight lines and great circles."""
        from scipy.interpolate import CubicSpline
        from scipy.spatial.transform import Rotation, Slerp

        turned = np.stack(
            [
                Slerp(self.times, Rotation.from_matrix(self.rotations[:, n]))(times).as_matrix()
                for n in range(len(SEGMENT_NAMES))
            ],
            axis=1,
        )
        return Placed(
            CubicSpline(self.times, self.origins)(times), turned, CubicSpline(self.times, self.centre)(times)
        )

    def angles_at(self, times: Array) -> Array:
        """(M, 4) rad at other instants."""
        return np.stack([np.interp(times, self.times, column) for column in self.angles.T], axis=1)


@dataclass(frozen=True, eq=False)
class Placed:
    """Segments at chosen instants, as in `Figure`."""

    origins: Array
    rotations: Array
    centre: Array


def figure_of_pose(posed: Posed) -> Figure:
    """A filmed flight: the body model with the joint angles that were seen."""
    names = {name: n for n, name in enumerate(ANGLE_NAMES)}
    pelvis = matrix(posed.orientations)
    states = [shape_in_motion(posed.athlete, shape_from(row)) for row in posed.angles]
    motion, own = posed.motion, posed.athlete.lengths
    angles = [posed.angles[:, names[n]] for n in ("left_hip_flexion", "left_knee", "left_arm_flexion")]
    return Figure(
        times=posed.times,
        origins=posed.hips[:, None] + np.einsum("nij,nsj->nsi", pelvis, np.array([s.joints for s in states])),
        rotations=pelvis[:, None] @ np.array([s.rotations for s in states]),
        centre=np.einsum("s,nsi->ni", motion.fractions / motion.fractions.sum(), motion.centres),
        bones=_bones({part: own[part] for part in own}),
        angles=np.stack([*angles, angles[-1]], axis=1),
        stature=posed.athlete.stature,
        sees_twist=False,
    )


def figure_of_recording(one: Recording) -> Figure:
    """A marker capture: every joint where it was, the trunk's line shared out as the body model does."""
    drawn = _Drawn(one)
    parts = [drawn.segment(name) for name in SEGMENT_NAMES]
    shares = one.motion.fractions / one.motion.fractions.sum()
    return Figure(
        times=one.motion.times,
        origins=np.stack([origin for origin, _ in parts], axis=1),
        rotations=np.stack([turned for _, turned in parts], axis=1),
        centre=np.einsum("s,nsi->ni", shares, one.motion.centres),
        bones=_bones(drawn.lengths),
        angles=np.stack(drawn.angles(), axis=1),
        stature=drawn.stature,
        sees_twist=True,
    )


class _Drawn:
    """Lines of a recorded body."""

    def __init__(self, one: Recording) -> None:
        self.joints, self.turned = one.joints, one.turned
        self.hips = (one.joints["thigh_left"] + one.joints["thigh_right"]) / 2
        self.spine = [self.hips, one.joints["trunk"], one.joints["head"]]

    @cached_property
    def stature(self) -> float:
        """m, by trunk and legs against the body model's; for the thickness of what is drawn."""
        model = body(1.0, "female", age=18.0).lengths
        parts = [model[n] for n in ("pelvis", "mid_trunk", "upper_trunk", "thigh", "shank")]
        legs = [
            self._long(self.joints[f"{a}_left"], self.joints[f"{b}_left"])
            for a, b in (("thigh", "shank"), ("shank", "foot"))
        ]
        return round((self.trunk + sum(legs)) / sum(parts), 2)

    @cached_property
    def trunk(self) -> float:
        """M from the middle of the hips to the neck, along the waist."""
        return sum(self._long(a, b) for a, b in zip(self.spine, self.spine[1:], strict=False))

    @cached_property
    def lengths(self) -> dict[str, float]:
        """M of each part; where the recording has no far end, the body model's."""
        model = body(self.stature, "female", age=18.0).lengths
        found = dict(model)
        three = [model[n] for n in ("pelvis", "mid_trunk", "upper_trunk")]
        for name, long in zip(("pelvis", "mid_trunk", "upper_trunk"), three, strict=True):
            found[name] = self.trunk * long / sum(three)
        for part, after in _NEXT.items():
            found[part] = np.mean(
                [
                    self._long(self.joints[f"{part}_{s}"], self.joints[f"{after}_{s}"])
                    for s in ("left", "right")
                ]
            ).item()
        return found

    def segment(self, name: str) -> tuple[Array, Array]:
        """Its first joint (N, 3), and its frame in space (N, 3, 3)."""
        if name in _UPWARDS:
            return self._trunk(name)
        side, _, part = name.partition("_")
        there = f"{part}_{side}"
        origin, frame = self.joints[there], self.turned[there]
        if part in _NEXT:
            down = self.joints[f"{_NEXT[part]}_{side}"] - origin
            return origin, _frame(-down, frame[:, :, 0])
        if part == "foot":  # the recording's foot runs down from the ankle, the studio's forward
            return origin, np.stack([frame[:, :, 0], -frame[:, :, 2], frame[:, :, 1]], axis=2)
        return origin, frame

    def _trunk(self, name: str) -> tuple[Array, Array]:
        if name == "head":
            return self.joints["head"], self.turned["head"]
        ends = (
            np.cumsum([0.0, *(self.lengths[n] for n in ("pelvis", "mid_trunk", "upper_trunk"))]) / self.trunk
        )
        n = _UPWARDS.index(name)
        start, end = self._along(ends[n]), self._along(min(ends[n + 1], 1.0))
        right = self.turned["pelvis" if name == "pelvis" else "trunk"][:, :, 0]
        return start, _frame(end - start, right)

    def _along(self, share: float) -> Array:
        """The point so far along the line from hips over waist to neck."""
        low = self._long(self.spine[0], self.spine[1]) / self.trunk
        if share <= low:
            return self.spine[0] + (self.spine[1] - self.spine[0]) * share / low
        return self.spine[1] + (self.spine[2] - self.spine[1]) * (share - low) / (1 - low)

    def angles(self) -> list[Array]:
        """Rad at each instant, (N,) rad each, in the order of ANGLES."""
        up = self.spine[2] - self.hips
        hips, knees, arms = [], [], []
        for side in ("left", "right"):
            thigh = self.joints[f"shank_{side}"] - self.joints[f"thigh_{side}"]
            shank = self.joints[f"foot_{side}"] - self.joints[f"shank_{side}"]
            arm = self.joints[f"forearm_{side}"] - self.joints[f"upper_arm_{side}"]
            hips.append(np.pi - _angle(up, thigh))
            knees.append(_angle(thigh, shank))
            arms.append(_angle(-up, arm))
        return [np.mean(hips, axis=0), np.mean(knees, axis=0), *arms]

    @staticmethod
    def _long(a: Array, b: Array) -> float:
        return float(np.median(np.linalg.norm(a - b, axis=1)))


def _frame(along: Array, right: Array) -> Array:
    """(N, 3, 3) whose columns are right, front and along; right is only a direction to lean on."""
    z = along / np.linalg.norm(along, axis=1, keepdims=True)
    x = right - np.sum(right * z, axis=1, keepdims=True) * z
    x = x / np.maximum(np.linalg.norm(x, axis=1, keepdims=True), 1e-9)
    return np.stack([x, np.cross(z, x), z], axis=2)


def _angle(a: Array, b: Array) -> Array:
    cosine = np.sum(a * b, axis=1) / (np.linalg.norm(a, axis=1) * np.linalg.norm(b, axis=1))
    return np.asarray(np.arccos(np.clip(cosine, -1.0, 1.0)))


def _bones(lengths: dict[str, float]) -> Array:
    from loftbook.desk.lab.flying import bone

    parts = [name.removeprefix("left_").removeprefix("right_") for name in SEGMENT_NAMES]
    return np.array([bone(part, lengths[part]) for part in parts])
