"""A plan of a flight: key poses that a hand can drag, and the smooth curves between them.

A key says which joint angles are reached at which time, and how long the movement takes that leads there. Keys may
name a few angles only, so that an arm has its own timing. Between keys each angle follows a polynomial of fifth
degree that starts and ends at rest (or flows on, where a key says so); its rates are exact derivatives.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from itertools import pairwise
from typing import Any

import numpy as np

from loftbook.errors import PlanError
from loftbook.mechanics.arrays import Array, Curves
from loftbook.mechanics.curves import Slots, curves_from, slots_of
from loftbook.mechanics.keys import Key
from loftbook.mechanics.shape import Shape, angles_of, shape_as_dict, shape_from
from loftbook.units import degrees_from_radians, radians_from_degrees


@dataclass(frozen=True)
class Plan:
    """What the body does in the air: a shape at take-off and the key poses after it.

    Units
        start : the shape at time zero
        keys : in the order of their times

    Valid
        up to `curves.FASTEST` in any joint; each angle's own keys must follow one another.

    Raises
        PlanError when keys are out of order or ask a joint to move at an infinite or impossible rate

    Example
        >>> Plan(Shape(), (Key(0.3, {"left_knee": 1.0}),)).keys[0].time
        0.3
    """

    start: Shape
    keys: tuple[Key, ...] = ()
    name: str = ""
    slots: Slots = field(init=False, repr=False, compare=False)

    def __post_init__(self) -> None:
        """Lay out the knots; refuse an impossible order or rate."""
        for before, after in pairwise(self.keys):
            if after.time < before.time:
                raise PlanError(
                    f"a key at {after.time:g} s after one at {before.time:g} s", "keys in order of time"
                )
        object.__setattr__(self, "slots", slots_of(angles_of(self.start), self.keys))
        curves(self)


def curves(
    plan: Plan, *, times: Array | None = None, targets: Mapping[tuple[int, str], Array] | None = None
) -> Curves:
    """The smooth curves of a plan's joint angles, or of many plans alike that differ in timing and targets.

    Units
        times : (B, keys) s, the keys' times in each of B variants; the plan's own when None
        targets : rad, (B,) for a key's number and an angle's name, instead of what that key says

    Valid
        a key's lead stays; a movement that would begin before the last one ends begins there. Targets are not
        held against the limits of the joints again.

    Raises
        PlanError when an angle's keys change places or a joint would turn at an impossible rate

    Source
        fifth-degree polynomial with position, rate and acceleration given at both ends

    Example
        >>> curves(Plan(Shape(), (Key(0.3, {"left_knee": 1.0}),))).knots.shape
        (1, 19)
    """
    when = np.array([[k.time for k in plan.keys]]) if times is None else np.asarray(times, dtype=float)
    if when.ndim != 2 or when.shape[1] != len(plan.keys):
        raise PlanError(
            f"times of shape {when.shape}",
            f"(variants, {len(plan.keys)})",
            "give a column for each key of the plan",
        )
    return curves_from(plan.slots, when, targets or {})


def angles_at(plan: Plan, times: Array) -> Array:
    """The joint angles of a plan at given times, for drawing or for comparing with film.

    Units
        times : (N,) s; returns (N, 18) rad in the order of `ANGLE_NAMES`

    Valid
        before the first key of an angle and after its last one it rests

    Source
        the same polynomials that a flight reads

    Example
        >>> angles_at(Plan(Shape(), (Key(0.3, {"left_knee": 1.0}),)), np.array([0.15])).max()
        np.float64(0.5)
    """
    given, when = curves(plan), np.asarray(times, dtype=float)
    if when.ndim != 1 or not np.all(np.isfinite(when)):
        raise PlanError(
            f"times of shape {when.shape}", "a row of finite seconds", "give them as a flat array"
        )
    angles = np.empty((len(when), len(given.starts) - 1))
    for d, (first, last) in enumerate(pairwise(given.starts)):
        knots = given.knots[0, first:last]
        k = first + np.clip(np.searchsorted(knots, when, side="right") - 1, 0, len(knots) - 1)
        u = np.where(k < last - 1, (when - given.knots[0, k]) * given.inverse_widths[0, k], 0.0)
        angles[:, d] = np.polynomial.polynomial.polyval(
            np.maximum(u, 0.0), given.coefficients[0, k].T, tensor=False
        )
    return angles


def shape_at(plan: Plan, time: float) -> Shape:
    """The shape of a plan at one time.

    Units
        time : s

    Source
        as `angles_at`

    Example
        >>> shape_at(Plan(Shape(), (Key(0.3, {"left_knee": 1.0}),)), 0.3).left_knee
        1.0
    """
    return shape_from(angles_at(plan, np.array([time]))[0])


def plan_as_dict(plan: Plan) -> dict[str, Any]:
    """A plan as plain numbers for a file or a browser.

    Units
        time_s, lead_s in s; angles in degrees, as the names say

    Source
        definition

    Example
        >>> plan = Plan(Shape(), (Key(0.3, {"left_knee": 1.5707963267948966}),))
        >>> plan_as_dict(plan)["keys"][0]["angles_deg"]
        {'left_knee': 90.0}
    """
    return {
        "name": plan.name,
        "start_deg": _in_degrees(shape_as_dict(plan.start)),
        "keys": [
            {"time_s": k.time, "angles_deg": _in_degrees(k.angles), "lead_s": k.lead, "through": k.through}
            for k in plan.keys
        ],
    }


def plan_from_dict(record: Mapping[str, Any]) -> Plan:
    """The plan that `plan_as_dict` wrote.

    Units
        as there

    Raises
        PlanError when a part is missing or garbled

    Source
        definition

    Example
        >>> plan_from_dict(plan_as_dict(Plan(Shape(), name="held"))).name
        'held'
    """
    try:
        start = shape_from(_in_radians(record["start_deg"]))
        keys = tuple(
            Key(
                float(k["time_s"]),
                _in_radians(k["angles_deg"]),
                lead=None if k.get("lead_s") is None else float(k["lead_s"]),
                through=bool(k.get("through", False)),
            )
            for k in record["keys"]
        )
    except (KeyError, TypeError, ValueError, AttributeError) as garbled:
        raise PlanError(
            f"a plan in which {garbled} is missing or garbled",
            "what plan_as_dict writes",
            "save the plan again",
        ) from garbled
    return Plan(start, keys, str(record.get("name", "")))


def _in_degrees(angles: Mapping[str, float]) -> dict[str, float]:
    return {name: degrees_from_radians(value) for name, value in angles.items()}


def _in_radians(angles: Mapping[str, Any]) -> dict[str, float]:
    return {name: radians_from_degrees(float(value)) for name, value in angles.items()}
