"""A technique to the other side, and with an early twist that leaves the bed already leaning."""

from __future__ import annotations

from dataclasses import replace
from math import isfinite

from loftbook.errors import PlanError, RangeError
from loftbook.mechanics.keys import Key
from loftbook.mechanics.plan import Plan
from loftbook.mechanics.shape import Shape, shape_as_dict
from loftbook.mechanics.twist_technique import CLOSEST, Input, Technique, renumbered
from loftbook.units import degree, degrees_from_radians

ARMS = ("left_arm_abduction", "right_arm_abduction")
STEADYING_TIME = 0.18  # s for the arms to go out; common practice, no source


def mirrored(technique: Technique) -> Technique:
    """The same technique twisting to the other side.

    Units
        all angles and times as they are, left and right exchanged

    Source
        law: a mirror image of a flight is a flight

    Example
        >>> from loftbook.mechanics import body, full_out
        >>> mirrored(full_out(body(1.6, "female", age=15), flight_time=1.6)).twists
        -1.0
    """
    plan = technique.plan
    keys = tuple(
        replace(key, angles={_other(n): _turned(n, a) for n, a in key.angles.items()}) for key in plan.keys
    )
    start = Shape(**{_other(n): _turned(n, a) for n, a in shape_as_dict(plan.start).items()})
    inputs = tuple(
        replace(one, angles=tuple((k, _other(n), _turned(n, f)) for k, n, f in one.angles))
        for one in technique.inputs
    )
    return replace(
        technique,
        plan=Plan(start, keys, plan.name),
        inputs=inputs,
        twists=-technique.twists,
        halfway=None if technique.halfway is None else -technique.halfway,
        tilt=-technique.tilt,
        twist=-technique.twist,
    )


def leaving_with(technique: Technique, *, tilt: float = 0.0, twist: float = 0.0) -> Technique:
    """The same technique with some tilt or twist already at take-off: the early twist.

    Units
        tilt : rad, head to the right positive; twist : rad, to the left positive; both against the momentum

    Valid
        a backward somersault twists to the left when it leaves the bed with tilt to the right

    Raises
        RangeError for a tilt beyond 45° or a twist beyond a half turn

    Source
        definition; in real back fulls about 30 % of the tilt comes from the bed (Yeadon and Kerwin 1999, abstract)

    Example
        >>> from loftbook.mechanics import body, full_in
        >>> leaving_with(full_in(body(1.6, "female", age=15), flight_time=1.6), tilt=3 * degree).tilt > 0
        True
    """
    for name, value, most in (("tilt", tilt, 45 * degree), ("twist", twist, 180 * degree)):
        if not (isfinite(value) and abs(value) <= most):
            raise RangeError(
                f"a {name} of {value!r} rad at take-off",
                f"up to {degrees_from_radians(most):.0f}° either way",
                "give radians",
            )
    return replace(technique, tilt=tilt, twist=twist)


def with_steadying_arms(technique: Technique, *, at: float, out: float = 45 * degree) -> Technique:
    """The same technique with both arms out to the sides near the end, one higher than the other as she needs.

    Units
        at : s after take-off, when the arms are out; out : rad of abduction of both
        the new input "arms to steady" raises the left arm and lowers the right one by its value, rad

    Valid
        after the technique's last movement of the arms. With the input at zero it only slows the twist a little.

    Raises
        PlanError for a time before the arms are free, or after landing

    Source
        common practice, no source

    Example
        >>> from loftbook.mechanics import body, full_in
        >>> one = with_steadying_arms(full_in(body(1.6, "female", age=15), flight_time=1.6), at=1.45)
        >>> one.inputs[-1].name
        'arms to steady'
    """
    last = max(key.time for key in technique.plan.keys if set(key.angles) & set(ARMS))
    if not last + CLOSEST <= at <= technique.flight_time:
        raise PlanError(
            f"steadying arms at {at!r} s",
            f"{last + CLOSEST:.2f} to {technique.flight_time:.2f} s, after the last movement of the arms",
            "choose a later time, or a technique whose arms are free sooner",
        )
    number = sum(key.time <= at for key in technique.plan.keys)
    key = Key(at, dict.fromkeys(ARMS, out), lead=STEADYING_TIME)
    keys = (*technique.plan.keys[:number], key, *technique.plan.keys[number:])
    order = [n for n in range(len(keys)) if n != number]
    kept = renumbered(technique.inputs, dict(enumerate(order)))
    angles = ((number, ARMS[0], 1.0), (number, ARMS[1], -1.0))
    steady = Input("arms to steady", 0.0, (-out, out), "rad", angles=angles)
    plan = Plan(technique.plan.start, keys, technique.plan.name)
    return replace(technique, plan=plan, inputs=(*kept, steady))


def _other(name: str) -> str:
    if name.startswith("left_"):
        return "right_" + name.removeprefix("left_")
    return "left_" + name.removeprefix("right_") if name.startswith("right_") else name


def _turned(name: str, angle: float) -> float:
    return -angle if name in ("trunk_side", "trunk_twist") else angle
