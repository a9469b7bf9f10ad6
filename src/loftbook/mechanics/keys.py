"""Key poses: what a hand drags in the lab, and what a plan is made of."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from math import isfinite

from loftbook.errors import PlanError
from loftbook.mechanics.shape import Shape, check_angles, shape_as_dict


@dataclass(frozen=True)
class Key:
    """One key pose: at this time these joint angles are reached.

    Units
        time : s after take-off
        angles : rad, by name; angles left out go on with their own keys
        lead : s, how long the movement to this pose takes; None when it begins at the last key of the
        same angle
        through : True to flow on through this pose instead of resting in it

    Raises
        PlanError for a time before take-off, a lead that is not positive, or a key that names nothing

    Example
        >>> Key(0.35, {"left_arm_abduction": 0.0}, lead=0.25).time
        0.35
    """

    time: float
    angles: Mapping[str, float]
    lead: float | None = None
    through: bool = False

    def __post_init__(self) -> None:
        """Refuse times and angles that cannot be."""
        if not (isfinite(self.time) and self.time >= 0):
            raise PlanError(f"a key at {self.time!r} s", "a time after take-off, 0 or more", "move the key")
        if self.lead is not None and not (isfinite(self.lead) and self.lead > 0):
            raise PlanError(
                f"a lead of {self.lead!r} s before the key at {self.time:g} s",
                "more than 0 s, or None",
                "say how long the movement takes",
            )
        if not self.angles:
            raise PlanError(
                f"a key at {self.time:g} s without joint angles",
                "at least one",
                "name one, or leave the key out",
            )
        check_angles(self.angles)


def pose(time: float, shape: Shape, *, lead: float | None = None, through: bool = False) -> Key:
    """A key that sets the whole body.

    Units
        time, lead : s

    Source
        definition

    Example
        >>> len(pose(0.3, Shape()).angles)
        18
    """
    return Key(time, shape_as_dict(shape), lead=lead, through=through)
