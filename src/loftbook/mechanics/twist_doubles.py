"""Double somersaults with twist as techniques: full-in, full-out, half-in half-out, barani-out.

Each is one clear way of doing it with the arms, not the only one: real gymnasts also use the bed, the hips and the
trunk. The inputs' values are a place to begin; `solve_landing` looks for those that forgive most. All twist to
the left; `twist_variants.mirrored` makes the other side.

How arms make and stop a twist: an arm that goes down on one side tilts the body, and the tilted body twists as it
somersaults. The same movement a full twist later, backwards, takes the tilt away; a half twist needs the arms to change
sides at a quarter twist.
"""

from __future__ import annotations

from dataclasses import replace
from math import isfinite

from loftbook.errors import PlanError
from loftbook.mechanics.body import Body
from loftbook.mechanics.budget import TURNS_IN_THE_AIR
from loftbook.mechanics.keys import Key
from loftbook.mechanics.named_shapes import straight, tuck
from loftbook.mechanics.plan import Plan
from loftbook.mechanics.shape import ARMS_DOWN, ARMS_UP, Shape, shape_as_dict
from loftbook.mechanics.shape_plan import ShapePlan, plan_of
from loftbook.mechanics.turning import momentum_for, turning
from loftbook.mechanics.twist_technique import Input, Technique
from loftbook.units import degree, turn

SHORTEST_FLIGHT = 1.2  # s; less leaves no room for the movements below
ARM_TIME = 0.22  # s for one arm to go up or down; common practice, no source
NEXT = (
    0.13  # s from one movement of an arm to its next, at least; a little more than `twist_technique.CLOSEST`
)
LEG_TIME = 0.25  # s to close or to open; common practice, no source
MOST_HIPS = 50 * degree  # of flexion while twisting; beyond it arms hardly make a twist

_LEFT, _RIGHT = "left_arm_abduction", "right_arm_abduction"
_HIPS = ("left_hip_flexion", "right_hip_flexion")
_FOLDED = (
    "trunk_flexion", "head_flexion", *_HIPS, "left_knee", "left_ankle", "right_knee", "right_ankle",
    "left_arm_flexion", "left_elbow", "right_arm_flexion", "right_elbow",
)  # fmt: skip
_WHOLE = (*_FOLDED, _LEFT, _RIGHT)


def full_in(body: Body, *, flight_time: float, shape: Shape | None = None) -> Technique:
    """Back double with the full twist in the first somersault, the second in a shape.

    Units
        flight_time : s, from 1.2; shape : of the second somersault, a tuck when None

    Valid
        twist by lowering one arm, then the other a full twist later; landing straight with arms down

    Raises
        PlanError for a flight too short for the movements

    Source
        arms lowered one after the other: Yeadon (1993), from memory; times: common practice, no source

    Example
        >>> from loftbook.mechanics import body
        >>> full_in(body(1.6, "female", age=15), flight_time=1.6).halfway
        1.0
    """
    T, folded = _checked(flight_time), shape or tuck()
    H = _momentum(body, folded, T, (0.60 * T, T - 0.35))
    keys = (
        Key(0.28, {_HIPS[0]: 0.35, _HIPS[1]: 0.35}, lead=0.20),
        Key(0.30, {_LEFT: 0.0}, lead=ARM_TIME),
        Key(0.48 * T, {_RIGHT: 0.0}, lead=ARM_TIME),
        Key(0.60 * T, _part(folded, _WHOLE), lead=LEG_TIME),
        Key(T - 0.10, _part(straight(arms=ARMS_DOWN), _FOLDED), lead=LEG_TIME),
    )
    inputs = (
        _momentum_input(H),
        Input("first arm down", 0.30, (0.22, 0.30 * T), "s", keys=(1,)),
        Input("second arm down", 0.48 * T, (0.30 * T, 0.66 * T), "s", keys=(2,)),
        Input("how far the first arm stays up", 0.0, (0.0, 120 * degree), "rad", angles=((1, _LEFT, 1.0),)),
        Input("hips while twisting", 0.35, (0.0, MOST_HIPS), "rad", angles=tuple((0, h, 1.0) for h in _HIPS)),
        Input("close", 0.60 * T, (0.45 * T, 0.76 * T), "s", keys=(3,)),
        Input("open", T - 0.10, (0.88 * T, T - 0.04), "s", keys=(4,)),
    )
    return _technique("full-in", keys, inputs, (T, 1.0, 1.0))


def full_out(body: Body, *, flight_time: float, shape: Shape | None = None) -> Technique:
    """Back double in a shape with the full twist in the second somersault, after the kick-out.

    Units
        flight_time : s, from 1.2; shape : of the first somersault, a tuck when None

    Valid
        twist by raising one arm after the kick-out and lowering it a full twist later

    Raises
        PlanError for a flight too short for the movements

    Source
        common practice, no source

    Example
        >>> from loftbook.mechanics import body
        >>> full_out(body(1.6, "female", age=15), flight_time=1.6).halfway
        0.0
    """
    T, folded = _checked(flight_time), shape or tuck()
    H = _momentum(body, folded, T, (0.30, 0.40 * T))
    keys = (
        Key(0.30, _part(folded, _WHOLE), lead=LEG_TIME),
        Key(0.45 * T, _part(straight(arms=ARMS_DOWN), _FOLDED) | dict.fromkeys(_HIPS, 0.2), lead=LEG_TIME),
        Key(0.50 * T, {_RIGHT: 120 * degree}, lead=ARM_TIME),
        Key(0.85 * T, {_RIGHT: 0.0}, lead=ARM_TIME),
        Key(T - 0.02, dict.fromkeys(_HIPS, 0.0), lead=0.15),
    )
    inputs = (
        _momentum_input(H),
        Input("kick-out", 0.45 * T, (0.30 * T, 0.65 * T), "s", keys=(1,)),
        Input("arm up", 0.50 * T, (0.35 * T, 0.75 * T), "s", keys=(2,)),
        Input("arm down", 0.85 * T, (0.60 * T, T - 0.04), "s", keys=(3,)),
        Input("how far up", 120 * degree, (40 * degree, 180 * degree), "rad", angles=((2, _RIGHT, 1.0),)),
        Input("hips while twisting", 0.2, (0.0, MOST_HIPS), "rad", angles=tuple((1, h, 1.0) for h in _HIPS)),
    )
    return _technique("full-out", keys, inputs, (T, 1.0, 0.0))


def half_in_half_out(body: Body, *, flight_time: float, shape: Shape | None = None) -> Technique:
    """Back double with a half twist in each somersault, in a shape between them.

    Units
        flight_time : s, from 1.2; shape : between the twists, a tuck when None

    Valid
        each half twist by one arm, both arms changing sides at a quarter twist, and the other arm

    Raises
        PlanError for a flight too short for the movements

    Source
        common practice, no source

    Example
        >>> from loftbook.mechanics import body
        >>> half_in_half_out(body(1.6, "female", age=15), flight_time=1.6).halfway
        0.5
    """
    T, folded = _checked(flight_time), shape or tuck()
    H = _momentum(body, folded, T, (0.48 * T, T - 0.60))
    change, down = max(0.24 * T, 0.20 + NEXT), max(0.36 * T, 0.20 + 2 * NEXT)
    keys = (
        Key(0.20, {_LEFT: 0.0}, lead=ARM_TIME),
        Key(change, {_LEFT: 90 * degree, _RIGHT: 0.0}, lead=ARM_TIME),
        Key(down, {_LEFT: 0.0}, lead=ARM_TIME),
        Key(0.48 * T, _part(folded, _FOLDED), lead=LEG_TIME),
        Key(0.70 * T, _part(straight(arms=ARMS_DOWN), _FOLDED), lead=LEG_TIME),
        *_half_out_keys(T, 0.74 * T),
    )
    inputs = (
        _momentum_input(H),
        Input("first arm down", 0.20, (0.18, 0.25 * T), "s", keys=(0,)),
        Input("change of arms", change, (0.18 * T, 0.36 * T), "s", keys=(1,)),
        Input("how far up at the change", 90 * degree, (0.0, 180 * degree), "rad", angles=((1, _LEFT, 1.0),)),
        Input("both arms down", down, (0.28 * T, 0.50 * T), "s", keys=(2,)),
        Input("close", 0.48 * T, (0.34 * T, 0.60 * T), "s", keys=(3,)),
        Input("kick-out", 0.70 * T, (0.55 * T, 0.85 * T), "s", keys=(4,)),
        *_half_out_inputs(T, 0.74 * T, 5),
    )
    return _technique("half-in half-out", keys, inputs, (T, 1.0, 0.5))


def barani_out(body: Body, *, flight_time: float, shape: Shape | None = None) -> Technique:
    """Front double in a shape with a half twist in the second somersault.

    Units
        flight_time : s, from 1.2; shape : of the first somersault, a tuck when None

    Valid
        as `half_in_half_out`; the momentum is negative, since the somersault goes forward

    Raises
        PlanError for a flight too short for the movements

    Source
        common practice, no source

    Example
        >>> from loftbook.mechanics import body
        >>> barani_out(body(1.6, "female", age=15), flight_time=1.6).somersaults
        -1.75
    """
    T, folded = _checked(flight_time), shape or tuck()
    H = _momentum(body, folded, T, (0.30, 0.50 * T))
    keys = (
        Key(0.30, _part(folded, _WHOLE), lead=LEG_TIME),
        Key(0.60 * T, _part(straight(arms=ARMS_DOWN), _FOLDED), lead=LEG_TIME),
        *_half_out_keys(T, 0.66 * T),
    )
    inputs = (
        _momentum_input(-H),
        Input("kick-out", 0.60 * T, (0.40 * T, 0.80 * T), "s", keys=(1,)),
        *_half_out_inputs(T, 0.66 * T, 2),
    )
    return replace(_technique("barani-out", keys, inputs, (T, 0.5, 0.0)), somersaults=-TURNS_IN_THE_AIR)


def _half_out_keys(T: float, begin: float) -> tuple[Key, ...]:
    """Left arm up, arms change sides, right arm down: a half twist to the left, out of a front somersault."""
    return (
        Key(begin, {_LEFT: 90 * degree}, lead=ARM_TIME),
        Key(begin + max(0.10 * T, NEXT), {_LEFT: 0.0, _RIGHT: 90 * degree}, lead=ARM_TIME),
        Key(begin + 2 * max(0.10 * T, NEXT), {_RIGHT: 0.0}, lead=ARM_TIME),
    )


def _half_out_inputs(T: float, begin: float, first: int) -> tuple[Input, ...]:
    return (
        Input("arm up", begin, (begin - 0.15 * T, begin + 0.10 * T), "s", keys=(first,)),
        Input("how far up", 90 * degree, (20 * degree, 180 * degree), "rad", angles=((first, _LEFT, 1.0),)),
        Input(
            "change of arms out",
            begin + max(0.10 * T, NEXT),
            (begin - 0.03 * T, begin + 0.18 * T),
            "s",
            keys=(first + 1,),
        ),
        Input(
            "how far up at the change out",
            90 * degree,
            (0.0, 180 * degree),
            "rad",
            angles=((first + 1, _RIGHT, 1.0),),
        ),
        Input(
            "last arm down",
            begin + 2 * max(0.10 * T, NEXT),
            (begin + 0.06 * T, T - 0.04),
            "s",
            keys=(first + 2,),
        ),
    )


def _technique(
    name: str, keys: tuple[Key, ...], inputs: tuple[Input, ...], wanted: tuple[float, float, float]
) -> Technique:
    time, twists, halfway = wanted
    plan = Plan(straight(arms=ARMS_UP), keys, name)
    return Technique(name, plan, inputs, time, TURNS_IN_THE_AIR, twists, halfway)


def _momentum_input(momentum: float) -> Input:
    limits = sorted((0.7 * momentum, 1.5 * momentum))
    return Input("momentum", momentum, (limits[0], limits[1]), "m²/s", momentum=True)


def _momentum(body: Body, shape: Shape, time: float, held: tuple[float, float]) -> float:
    """What the same somersaults would need without the twist, in the shape from one time to another."""
    closed, opens = held[0], max(held)
    shapes = ShapePlan(
        shape,
        closing=(closed - LEG_TIME, closed),
        opening=(time - opens, max(time - opens - LEG_TIME, 0.0)),
    )
    return momentum_for(turning(body, plan_of(shapes, time), time), TURNS_IN_THE_AIR * turn)


def _checked(time: float) -> float:
    if not (isfinite(time) and SHORTEST_FLIGHT <= time <= 3.0):
        raise PlanError(
            f"a twisting double in {time!r} s",
            f"{SHORTEST_FLIGHT:g} to 3 s in the air",
            "a shorter flight leaves no room for the arms; look at one somersault instead",
        )
    return time


def _part(shape: Shape, names: tuple[str, ...]) -> dict[str, float]:
    angles = shape_as_dict(shape)
    return {name: angles[name] for name in names}
