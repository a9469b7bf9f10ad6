"""The flights that the lab begins with: a double back in each shape, and the twists that a programme meets first."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from loftbook.desk.lab.planned import Aim, LabPlan, Person, momentum_input
from loftbook.ladder.scales import Shape
from loftbook.mechanics import (
    Arm,
    Body,
    Key,
    Plan,
    ShapePlan,
    Technique,
    barani_out,
    full_in,
    full_out,
    half_in_half_out,
    open_tuck,
    pike,
    straight,
    tuck,
)
from loftbook.mechanics.budget import TURNS_IN_THE_AIR
from loftbook.mechanics.shape import ARMS_DOWN, ARMS_UP
from loftbook.mechanics.shape import Shape as BodyShape
from loftbook.mechanics.shape_plan import plan_of
from loftbook.mechanics.turning import momentum_for, turning
from loftbook.mechanics.twist_technique import Input
from loftbook.units import degree, turn

ARM_TIME = 0.22  # s for one arm to go down; common practice, no source
ONE_SOMERSAULT = TURNS_IN_THE_AIR - 1  # turns in the air; the leans make up the rest, as in a double
# A recorded single with two twists lasted 1.11 s in its window, see the checks; common practice, no source for this one
SINGLE_TIME, DOUBLE_TIME = 1.20, 1.60  # s


@dataclass(frozen=True)
class Preset:
    """One flight to begin with: its name, what it shows, and how it is made for a body."""

    key: str
    name: str
    words: str
    notation: str  # what it is to come out as
    duration: float
    make: Callable[[Body, float], LabPlan]


def back_full(body: Body, *, flight_time: float) -> Technique:
    """A single back straight with one twist: one arm down, the other a full twist later.

    Source of the movement: arms lowered one after the other (Yeadon 1993, from memory); times: common
    practice, no source.
    """
    T, held = flight_time, straight(arms=ARMS_UP)
    momentum = momentum_for(turning(body, Plan(held), T), ONE_SOMERSAULT * turn)
    left, right = "left_arm_abduction", "right_arm_abduction"
    keys = (Key(0.30, {left: 0.0}, lead=ARM_TIME), Key(0.75 * T, {right: 0.0}, lead=ARM_TIME))
    inputs = (
        momentum_input(momentum),
        Input("first arm down", 0.30, (0.22, 0.40 * T), "s", keys=(0,)),
        Input("second arm down", 0.75 * T, (0.45 * T, T - 0.04), "s", keys=(1,)),
        Input("how far the first arm stays up", 0.0, (0.0, 120 * degree), "rad", angles=((0, left, 1.0),)),
    )
    return Technique("back full", Plan(held, keys, "back full"), inputs, T, ONE_SOMERSAULT, 1.0)


def shaped(name: str, shape: BodyShape, label: Shape) -> Callable[[Body, float], LabPlan]:
    """A double back in one shape, without twist, with just the momentum that it needs."""

    def make(body: Body, flight_time: float) -> LabPlan:
        plan = plan_of(ShapePlan(shape), flight_time)
        momentum = momentum_for(turning(body, plan, flight_time), TURNS_IN_THE_AIR * turn)
        aim = Aim(TURNS_IN_THE_AIR, 0.0, 0.0, label)
        return LabPlan(name, _person(body), flight_time, momentum, Plan(plan.start, plan.keys, name), aim)

    return make


def arm_drop(body: Body, flight_time: float) -> LabPlan:
    """An open tuck held to the end, in which one arm goes down; no twist is aimed at, what comes is the finding."""
    up = Arm(abduction=180 * degree)
    held = open_tuck(arms=up)
    begin = plan_of(ShapePlan(held, start=straight(arms=up), landing=held, opening=(0.2, 0.1)), flight_time)
    drop = Key(0.60, {"left_arm_abduction": 0.0}, lead=0.25)
    momentum = momentum_for(turning(body, begin, flight_time), TURNS_IN_THE_AIR * turn)
    name = "One arm down in an open tuck"
    return LabPlan(name, _person(body), flight_time, momentum, Plan(begin.start, (begin.keys[0], drop), name))


def solved(name: str, technique: Technique, label: Shape) -> LabPlan:
    """A technique as a plan of the lab, its inputs kept so that a forgiving timing can be looked for."""
    aim = Aim(technique.somersaults, technique.twists, technique.halfway, label)
    plan = Plan(technique.plan.start, technique.plan.keys, name)
    return LabPlan(
        name, Person(), technique.flight_time, technique.momentum, plan, aim,
        technique.tilt, technique.twist, technique.inputs,
    )  # fmt: skip


SHAPES: tuple[tuple[str, BodyShape, Shape], ...] = (
    ("tuck", tuck(), Shape.TUCK),
    ("pike", pike(), Shape.PIKE),
    ("open tuck", open_tuck(), Shape.OPEN_TUCK),
    ("straight", straight(arms=ARMS_DOWN), Shape.STRAIGHT),
)
TWISTS: dict[str, tuple[Callable[..., Technique], Shape]] = {
    "back_full": (back_full, Shape.STRAIGHT),
    "full_in": (full_in, Shape.TUCK),
    "full_out": (full_out, Shape.TUCK),
    "half_in_half_out": (half_in_half_out, Shape.TUCK),
    "barani_out": (barani_out, Shape.TUCK),
}


def _person(body: Body) -> Person:
    return Person(body.stature, body.sex, body.age)
