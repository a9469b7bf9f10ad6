"""A twisting somersault as a plan with a few inputs that may be chosen, and the landing that it should end in.

Every key time, joint angle and the momentum follow the inputs in straight lines, so that thousands of variants of one
technique are plain arrays: for searching, for noise, for sensitivities.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from math import isfinite

import numpy as np

from loftbook.errors import RangeError
from loftbook.mechanics.arrays import Array
from loftbook.mechanics.keys import Key
from loftbook.mechanics.plan import Plan

# s between two keys of one joint, so that no timing noise asks for a movement that nobody can make
CLOSEST = 0.12
EARLIEST = 0.12  # s after take-off, for the end of the first movement


@dataclass(frozen=True)
class Input:
    """One thing about a technique that may be chosen.

    Units
        least, value, most : s, rad or m²/s, as `unit` says
        keys : numbers of the keys whose time it moves; angles : (key's number, angle's name, factor)
        momentum : True when it is the momentum about the somersault axis

    Example
        >>> Input("kick-out", 0.7, (0.5, 0.9), "s", keys=(1,)).unit
        's'
    """

    name: str
    value: float
    limits: tuple[float, float]
    unit: str
    keys: tuple[int, ...] = ()
    angles: tuple[tuple[int, str, float], ...] = ()
    momentum: bool = False

    def __post_init__(self) -> None:
        """Refuse limits in the wrong order and a value outside them."""
        least, most = self.limits
        if not (isfinite(self.value) and least < most and least <= self.value <= most):
            raise RangeError(
                f"{self.name} of {self.value!r} between {least!r} and {most!r} {self.unit}",
                "limits in order and a value between them",
                "check the three numbers",
            )


@dataclass(frozen=True)
class Technique:
    """A twisting somersault: its plan, its inputs, and the landing it aims at.

    Units
        flight_time : s; somersaults : turns in the air, backward positive; twists : turns, to the left positive
        halfway : twists wanted when the first somersault is complete; None when that does not matter
        tilt, twist : rad at take-off, as an early twist leaves the bed with; `rotation.orientation` has their signs

    Example
        >>> from loftbook.mechanics import body, full_out
        >>> full_out(body(1.6, "female", age=15), flight_time=1.6).twists
        1.0
    """

    name: str
    plan: Plan
    inputs: tuple[Input, ...]
    flight_time: float
    somersaults: float
    twists: float
    halfway: float | None = None
    tilt: float = 0.0
    twist: float = 0.0

    @property
    def values(self) -> Array:
        """(P,) the inputs' values."""
        return np.array([one.value for one in self.inputs])

    @property
    def momentum(self) -> float:
        """Momentum about the somersault axis, m²/s."""
        return next(one.value for one in self.inputs if one.momentum)


def with_values(technique: Technique, values: Sequence[float] | Array) -> Technique:
    """The same technique with these inputs, its plan moved accordingly.

    Units
        values : (P,) in the order and units of the inputs

    Raises
        RangeError for a value outside its input's limits or a wrong number of them

    Source
        definition

    Example
        >>> from loftbook.mechanics import body, full_out
        >>> one = full_out(body(1.6, "female", age=15), flight_time=1.6)
        >>> with_values(one, one.values).plan.keys == one.plan.keys
        True
    """
    given = np.asarray(values, dtype=float)
    if given.shape != (len(technique.inputs),):
        raise RangeError(
            f"{given.shape} values", f"{len(technique.inputs)}: {', '.join(i.name for i in technique.inputs)}"
        )
    inputs = tuple(replace(one, value=float(v)) for one, v in zip(technique.inputs, given, strict=True))
    times = in_order(technique.plan, times_of(technique, given[None]))[0]
    targets = {pin: float(v[0]) for pin, v in targets_of(technique, given[None]).items()}
    keys = [
        Key(
            float(times[n]),
            {name: targets.get((n, name), angle) for name, angle in key.angles.items()},
            lead=key.lead,
            through=key.through,
        )
        for n, key in enumerate(technique.plan.keys)
    ]
    inputs = tuple(_as_came_out(one, times) for one in inputs)
    order = sorted(range(len(keys)), key=lambda n: keys[n].time)
    inputs = renumbered(inputs, {old: new for new, old in enumerate(order)})
    plan = Plan(technique.plan.start, tuple(keys[n] for n in order), technique.plan.name)
    return replace(technique, inputs=inputs, plan=plan)


def _as_came_out(one: Input, times: Array) -> Input:
    """A time that had to give way to the movement before it is told as it came out."""
    if not one.keys:
        return one
    return replace(one, value=min(max(float(times[one.keys[0]]), one.limits[0]), one.limits[1]))


def times_of(technique: Technique, values: Array) -> Array:
    """(B, keys) s: the plan's own times, with the keys of timing inputs where these put them."""
    times = np.repeat(np.array([[key.time for key in technique.plan.keys]]), len(values), axis=0)
    for n, one in enumerate(technique.inputs):
        for k in one.keys:
            times[:, k] += values[:, n] - one.value
    return times


def targets_of(technique: Technique, values: Array) -> dict[tuple[int, str], Array]:
    """Joint angles (B,) rad of the keys that angle inputs set, by key number and angle."""
    targets: dict[tuple[int, str], Array] = {}
    for n, one in enumerate(technique.inputs):
        for key, name, factor in one.angles:
            base = technique.plan.keys[key].angles[name]
            targets[key, name] = targets.get((key, name), base) + factor * (values[:, n] - one.value)
    return targets


def in_order(plan: Plan, times: Array) -> Array:
    """Keys of one joint no closer than `CLOSEST`, whatever noise does to them."""
    times = np.maximum(times, EARLIEST)
    last: dict[str, int] = {}
    for n, key in enumerate(plan.keys):
        for before in {last[name] for name in key.angles if name in last}:
            times[:, n] = np.maximum(times[:, n], times[:, before] + CLOSEST)
        last.update(dict.fromkeys(key.angles, n))
    return times


def renumbered(inputs: tuple[Input, ...], place: Mapping[int, int]) -> tuple[Input, ...]:
    """Inputs after the plan's keys have moved to other places in the list.

    Units
        place : new number of each old key

    Source
        definition

    Example
        >>> renumbered((Input("kick-out", 0.7, (0.5, 0.9), "s", keys=(1,)),), {1: 2})[0].keys
        (2,)
    """
    return tuple(
        replace(
            one,
            keys=tuple(place[k] for k in one.keys),
            angles=tuple((place[k], name, factor) for k, name, factor in one.angles),
        )
        for one in inputs
    )
