"""A body: sixteen segments on a tree, from standing height, sex and age.

No weight is asked for. Everything is per kilogram of body mass, so the mass cancels.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from math import isfinite, sqrt

import numpy as np

from loftbook.errors import RangeError, ShapeError
from loftbook.mechanics.arrays import Skeleton
from loftbook.mechanics.segments import TRUNK, Segment, Sex, data_rows, segments_for

ANGLE_NAMES: tuple[str, ...] = tuple(row["angle"] for row in data_rows("joints.csv"))
SEGMENT_NAMES: tuple[str, ...] = (
    "pelvis", "mid_trunk", "upper_trunk", "head",
    "left_upper_arm", "left_forearm", "left_hand", "right_upper_arm", "right_forearm", "right_hand",
    "left_thigh", "left_shank", "left_foot", "right_thigh", "right_shank", "right_foot",
)  # fmt: skip
LONGITUDINAL_UNCERTAINTY = 0.25  # against Santschi (1963, rows from memory) the model is a quarter low

# Assumptions of this model, no source: shares of stature.
SHOULDER_HALF_WIDTH, HIP_HALF_WIDTH = 0.10, 0.05
ANKLE_HEIGHT, ANKLE_FROM_HEEL = 0.039, 0.25  # share of stature; share of the foot's length
SHOULDER_DROP: dict[Sex, float] = {
    "female": 0.1169,
    "male": 0.0878,
}  # m below CERV; de Leva (1996), from memory

# Each segment: its parent and its turns (axis, sign and share, joint angle). The signs are those of
# docs/symbols.md.
_HALF = 0.5
_TREE: dict[str, tuple[str, tuple[tuple[str, float, str], ...]]] = {
    "pelvis": ("", ()),
    "mid_trunk": (
        "pelvis",
        (("x", -_HALF, "trunk_flexion"), ("y", _HALF, "trunk_side"), ("z", _HALF, "trunk_twist")),
    ),
    "upper_trunk": (
        "mid_trunk",
        (("x", -_HALF, "trunk_flexion"), ("y", _HALF, "trunk_side"), ("z", _HALF, "trunk_twist")),
    ),
    "head": ("upper_trunk", (("x", -1.0, "head_flexion"),)),
}
for _side, _out in (("left", 1.0), ("right", -1.0)):
    _TREE |= {
        f"{_side}_upper_arm": (
            "upper_trunk",
            (("x", 1.0, f"{_side}_arm_flexion"), ("y", _out, f"{_side}_arm_abduction")),
        ),
        f"{_side}_forearm": (f"{_side}_upper_arm", (("x", 1.0, f"{_side}_elbow"),)),
        f"{_side}_hand": (f"{_side}_forearm", ()),
    }
for _side, _out in (("left", 1.0), ("right", -1.0)):
    _TREE |= {
        f"{_side}_thigh": (
            "pelvis",
            (("x", 1.0, f"{_side}_hip_flexion"), ("y", _out, f"{_side}_hip_abduction")),
        ),
        f"{_side}_shank": (f"{_side}_thigh", (("x", -1.0, f"{_side}_knee"),)),
        f"{_side}_foot": (f"{_side}_shank", (("x", -1.0, f"{_side}_ankle"),)),
    }


@dataclass(frozen=True, eq=False)
class Body:
    """Somebody's body as the mechanics needs it: lengths and mass shares, never a weight.

    Units
        stature : m; age : years
        lengths : m, by the ten names of the segment table
        skeleton : the arrays of the model (see `arrays.Skeleton`), inertias in m² per kilogram of body mass
        longitudinal_uncertainty : relative standard uncertainty of the inertia about the long axis
    """

    stature: float
    sex: Sex
    age: float
    lengths: Mapping[str, float]
    skeleton: Skeleton
    longitudinal_uncertainty: float = LONGITUDINAL_UNCERTAINTY


def body(stature: float, sex: Sex, *, age: float, lengths: Mapping[str, float] | None = None) -> Body:
    """The body of a gymnast of this standing height, sex and age.

    Units
        stature : m, 0.8 to 2.3; age : years, from 4
        lengths : m, own measured lengths where there are any: head, upper_trunk, mid_trunk, pelvis, upper_arm,
        forearm, hand, thigh, shank, foot

    Valid
        transverse inertia within about 10 %, longitudinal within about 25 % (`longitudinal_uncertainty`); mean
        proportions of young adults except for the head's share. Half-widths of shoulders and hips are assumptions.

    Raises
        RangeError for a height that nobody has, with the likely slip of units.

    Source
        de Leva (1996), table 4; Jensen (1986, 1989) for a child's head.

    Example
        >>> girl = body(1.45, "female", age=11)
        >>> round(float(girl.skeleton.fractions.sum()), 12)
        1.0
    """
    _check_stature(stature)
    table = {s.name: s for s in segments_for(stature, sex, age)}
    for name, length in (lengths or {}).items():
        table[name] = _with_own_length(table, name, length, stature)
    return Body(
        stature=stature,
        sex=sex,
        age=age,
        lengths={name: s.length for name, s in table.items()},
        skeleton=_skeleton(table, stature, sex),
    )


def thicker(of: Body, *, longitudinal: float) -> Body:
    """The same body a little stouter or leaner: only its inertia about the long axis changes.

    Longitudinal inertia is the least known number of any body model; this is how its uncertainty reaches a result.
    Half-widths of shoulders and hips grow with the square root of the factor, the segments' own radii likewise.

    Units
        longitudinal : factor on the inertia about the long axis of the straight body, 0.3 to 3

    Source
        law: moments about an axis go with the square of the distances from it.

    Example
        >>> girl = body(1.6, "female", age=16)
        >>> stout = thicker(girl, longitudinal=1.25)
        >>> round(float(stout.skeleton.inertias[0, 2] / girl.skeleton.inertias[0, 2]), 3)
        1.25
    """
    if not 0.3 <= longitudinal <= 3:
        raise RangeError(f"longitudinal is {longitudinal!r}; expected a factor of 0.3 to 3, 1 for no change.")
    offsets, inertias = of.skeleton.offsets.copy(), of.skeleton.inertias.copy()
    offsets[:, 0] *= sqrt(longitudinal)
    inertias[:, 2] *= longitudinal
    return replace(of, skeleton=of.skeleton._replace(offsets=offsets, inertias=inertias))


def _check_stature(stature: float) -> None:
    if isfinite(stature) and 0.8 <= stature <= 2.3:
        return
    hint = "Give the standing height in metres."
    if isfinite(stature) and 80 <= stature <= 230:
        hint = f"It looks like centimetres: try {stature / 100:g}."
    elif isfinite(stature) and 800 <= stature <= 2300:
        hint = f"It looks like millimetres: try {stature / 1000:g}."
    raise RangeError(f"stature is {stature!r} m; expected 0.8 to 2.3. {hint}")


def _with_own_length(table: Mapping[str, Segment], name: str, length: float, stature: float) -> Segment:
    if name not in table:
        raise ShapeError(
            f"lengths names {name!r}; expected one of {', '.join(table)}. Left and right share one length."
        )
    usual = table[name].length
    if not (isfinite(length) and 0.6 * usual <= length <= 1.6 * usual):
        raise RangeError(
            f"{name} of {length!r} m",
            f"0.6 to 1.6 times the {usual:.3f} m that are usual at a stature of {stature:g} m",
            "measure between the joint centres, in metres",
        )
    return replace(table[name], length=length)


def _skeleton(table: Mapping[str, Segment], stature: float, sex: Sex) -> Skeleton:
    index = {name: i for i, name in enumerate(SEGMENT_NAMES)}
    turns = [(i, turn) for i, name in enumerate(SEGMENT_NAMES) for turn in _TREE[name][1]]
    counts = [len(_TREE[name][1]) for name in SEGMENT_NAMES]
    of = {name: table[name.removeprefix("left_").removeprefix("right_")] for name in SEGMENT_NAMES}
    offsets = _offsets(
        table, stature, SHOULDER_DROP[sex] * table["upper_trunk"].length / _upper_trunk_mm(sex)
    )
    return Skeleton(
        parents=np.array([index.get(_TREE[name][0], -1) for name in SEGMENT_NAMES], dtype=np.int64),
        offsets=np.array([offsets[name] for name in SEGMENT_NAMES]),
        centres=np.array([_centre(of[name], stature) for name in SEGMENT_NAMES]),
        fractions=np.array([of[name].fraction for name in SEGMENT_NAMES]),
        inertias=np.array([_inertia(of[name]) for name in SEGMENT_NAMES]),
        turn_start=np.concatenate([[0], np.cumsum(counts)]).astype(np.int64),
        turn_axis=np.array(["xyz".index(turn[0]) for _, turn in turns], dtype=np.int64),
        turn_angle=np.array([ANGLE_NAMES.index(turn[2]) for _, turn in turns], dtype=np.int64),
        turn_share=np.array([turn[1] for _, turn in turns]),
        angle_count=len(ANGLE_NAMES),
    )


def _upper_trunk_mm(sex: Sex) -> float:
    return {"female": 0.2280, "male": 0.2421}[sex]  # m, CERV-XYPH; de Leva (1996), from memory


def _offsets(
    table: Mapping[str, Segment], stature: float, shoulder_drop: float
) -> dict[str, tuple[float, float, float]]:
    """Where each joint stands in its parent's frame, m."""
    shoulder = table["upper_trunk"].length - shoulder_drop
    places = {
        "pelvis": (0.0, 0.0, 0.0),
        "mid_trunk": (0.0, 0.0, table["pelvis"].length),
        "upper_trunk": (0.0, 0.0, table["mid_trunk"].length),
        "head": (0.0, 0.0, table["upper_trunk"].length),
    }
    for side, sign in (("left", -1.0), ("right", 1.0)):
        places |= {
            f"{side}_upper_arm": (sign * SHOULDER_HALF_WIDTH * stature, 0.0, shoulder),
            f"{side}_forearm": (0.0, 0.0, -table["upper_arm"].length),
            f"{side}_hand": (0.0, 0.0, -table["forearm"].length),
            f"{side}_thigh": (sign * HIP_HALF_WIDTH * stature, 0.0, 0.0),
            f"{side}_shank": (0.0, 0.0, -table["thigh"].length),
            f"{side}_foot": (0.0, 0.0, -table["shank"].length),
        }
    return places


def _centre(segment: Segment, stature: float) -> tuple[float, float, float]:
    """Mass centre in the segment's frame, m: trunk and head stand on their joint, limbs hang from it."""
    if segment.name in TRUNK:
        return (0.0, 0.0, (1 - segment.centre) * segment.length)
    if segment.name == "foot":
        return (0.0, (segment.centre - ANKLE_FROM_HEEL) * segment.length, -ANKLE_HEIGHT * stature / 2)
    return (0.0, 0.0, -segment.centre * segment.length)


def _inertia(segment: Segment) -> tuple[float, float, float]:
    """Moments about the segment's own x (side to side), y (front to back), z (along), m²."""
    x, y, z = segment.r_transverse, segment.r_sagittal, segment.r_longitudinal
    if segment.name == "foot":  # heel to toe lies along y while the ankle is at a right angle
        y, z = segment.r_longitudinal, segment.r_sagittal
    return tuple(segment.fraction * (r * segment.length) ** 2 for r in (x, y, z))  # type: ignore[return-value]
