"""Body shapes: the joint angles of the whole body at one instant, and the shapes with names.

Left and right are separate, arms have an angle sideways and one forwards, and every angle is zero when she stands
upright with her arms down and her feet flat. Signs are fixed in docs/symbols.md.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import asdict, dataclass, fields, replace
from math import isfinite

import numpy as np

from loftbook.errors import RangeError, ShapeError
from loftbook.mechanics.arrays import Array
from loftbook.mechanics.body import ANGLE_NAMES
from loftbook.mechanics.segments import data_rows
from loftbook.units import degrees_from_radians, radians_from_degrees

ANGLE_LIMITS: dict[str, tuple[float, float]] = {
    row["angle"]: (
        radians_from_degrees(float(row["least_deg"])),
        radians_from_degrees(float(row["most_deg"])),
    )
    for row in data_rows("joints.csv")
}


@dataclass(frozen=True)
class Arm:
    """Where one arm is: sideways, forwards, and how far the elbow is bent.

    Units
        abduction, flexion, elbow : rad; 0 hangs down, abduction π is overhead through the side, flexion π overhead
        through the front. The arm is first raised sideways, then swung forwards about the left-right axis.

    Example
        >>> Arm(abduction=3.14).flexion
        0.0
    """

    abduction: float = 0.0
    flexion: float = 0.0
    elbow: float = 0.0


ARMS_DOWN = Arm()
ARMS_UP = Arm(abduction=radians_from_degrees(180))


@dataclass(frozen=True)
class Shape:
    """The joint angles of the whole body at one instant.

    Units
        all in rad, zero in the upright stance with arms down and feet flat. Flexions are positive forwards (knees:
        heels to the seat), abductions positive away from the middle, trunk_side positive to the right, trunk_twist
        positive when the shoulders turn to the left over the hips, ankles positive with toes pointed.

    Raises
        RangeError when an angle is beyond what any body can do, or is not a number.

    Example
        >>> Shape(left_knee=1.0).right_knee
        0.0
    """

    trunk_flexion: float = 0.0
    trunk_side: float = 0.0
    trunk_twist: float = 0.0
    head_flexion: float = 0.0
    left_arm_abduction: float = 0.0
    left_arm_flexion: float = 0.0
    left_elbow: float = 0.0
    right_arm_abduction: float = 0.0
    right_arm_flexion: float = 0.0
    right_elbow: float = 0.0
    left_hip_flexion: float = 0.0
    left_hip_abduction: float = 0.0
    left_knee: float = 0.0
    left_ankle: float = 0.0
    right_hip_flexion: float = 0.0
    right_hip_abduction: float = 0.0
    right_knee: float = 0.0
    right_ankle: float = 0.0

    def __post_init__(self) -> None:
        """Refuse angles that no body has."""
        check_angles({f.name: getattr(self, f.name) for f in fields(self)})


def check_angles(angles: Mapping[str, float]) -> None:
    """Refuse a joint angle that no body has, naming it.

    Units
        angles : rad by name

    Source
        data/joints.csv: common practice, no source; wide limits.

    Example
        >>> check_angles({"left_knee": 2.0})
    """
    for name, value in angles.items():
        if name not in ANGLE_LIMITS:
            raise ShapeError(f"{name!r} is no joint angle; expected one of {', '.join(ANGLE_NAMES)}.")
        least, most = ANGLE_LIMITS[name]
        if not isfinite(value):
            raise RangeError(
                f"{name} is {value!r}; expected a number of radians. A gap in tracking must be filled first."
            )
        if not least - 1e-9 <= value <= most + 1e-9:
            hint = (
                "it looks like degrees: convert to radians"
                if abs(value) > 7
                else "check the angle and its sign"
            )
            raise RangeError(
                f"{name} of {degrees_from_radians(value):.0f}° ({value:.2f} rad)",
                f"{degrees_from_radians(least):.0f}° to {degrees_from_radians(most):.0f}°",
                hint,
            )


def angles_of(shape: Shape) -> Array:
    """The joint angles of a shape as an array, in the order of `ANGLE_NAMES`.

    Units
        returns (18,) rad

    Example
        >>> angles_of(Shape(trunk_flexion=0.2))[:2].tolist()
        [0.2, 0.0]
    """
    return np.array([getattr(shape, name) for name in ANGLE_NAMES])


def shape_from(angles: Array | Mapping[str, float]) -> Shape:
    """The shape that has these joint angles.

    Units
        angles : rad, by name (those left out are zero) or as an array in the order of `ANGLE_NAMES`

    Raises
        ShapeError for a wrong name or number of angles; RangeError for an impossible angle

    Example
        >>> shape_from({"left_knee": 1.0}).left_knee
        1.0
    """
    if isinstance(angles, Mapping):
        check_angles(angles)
        return Shape(**angles)
    if np.shape(angles) != (len(ANGLE_NAMES),):
        raise ShapeError(
            f"angles has shape {np.shape(angles)}; expected ({len(ANGLE_NAMES)},), as ANGLE_NAMES lists them."
        )
    return Shape(**dict(zip(ANGLE_NAMES, map(float, angles), strict=True)))


def shape_as_dict(shape: Shape) -> dict[str, float]:
    """The joint angles of a shape by name, ready for JSON.

    Units
        rad

    Example
        >>> shape_as_dict(Shape(left_knee=1.0))["left_knee"]
        1.0
    """
    return asdict(shape)


def with_arms(shape: Shape, *, left: Arm, right: Arm) -> Shape:
    """The same shape with other arms.

    Units
        as in `Arm`

    Source
        definition

    Example
        >>> with_arms(Shape(), left=ARMS_DOWN, right=Arm(elbow=1.0)).right_elbow
        1.0
    """
    return replace(
        shape,
        left_arm_abduction=left.abduction, left_arm_flexion=left.flexion, left_elbow=left.elbow,
        right_arm_abduction=right.abduction, right_arm_flexion=right.flexion, right_elbow=right.elbow,
    )  # fmt: skip
