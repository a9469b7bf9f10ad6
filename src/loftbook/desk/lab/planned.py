"""A plan as the lab passes it about: in a file, in a link, between browser and server.

The same JSON everywhere, so that what a hand dragged in the browser can be flown again
at the command line. No name of a child is in it: a stature, a table of proportions and an
age are enough for a body.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache
from typing import Any, Literal

from loftbook.desk.lab.numbers import listed, number, part, rows, words
from loftbook.errors import PlanError
from loftbook.ladder.scales import Shape
from loftbook.mechanics import Body, Key, Plan, TakeOff, Technique, body, rotation
from loftbook.mechanics.body import ANGLE_NAMES
from loftbook.mechanics.shape import shape_as_dict, shape_from
from loftbook.mechanics.twist_technique import Input
from loftbook.units import degrees_from_radians, radians_from_degrees

KIND, VERSION = "loftbook lab plan", 1
MOST_KEYS, MOST_INPUTS = 24, 16
DURATION = (0.4, 3.0)  # s in the air; nobody who asks is longer
TABLES: tuple[Literal["female", "male"], ...] = ("female", "male")


@dataclass(frozen=True)
class Person:
    """Whose body flies: enough to draw and to fly it, and no name.

    Units
        stature : m; age : years
    """

    stature: float = 1.60
    table: Literal["female", "male"] = "female"
    age: float = 15.0

    @property
    def body(self) -> Body:
        """Her body in the mechanics."""
        return _body(self.stature, self.table, self.age)


@dataclass(frozen=True)
class Aim:
    """The landing that a plan is meant to end in.

    Units
        somersaults, twists, halfway : turns in the air, backward and to the left positive;
        halfway: twists when the first somersault is complete, None where that does not matter
    """

    somersaults: float
    twists: float
    halfway: float | None = None
    shape: Shape | None = None


@dataclass(frozen=True)
class LabPlan:
    """Key poses on a time line, the take-off, whose body, and what is aimed at.

    Units
        duration : s; momentum : m²/s per kilogram, backward positive; tilt, twist : rad at take-off
    """

    name: str
    person: Person
    duration: float
    momentum: float
    plan: Plan
    aim: Aim | None = None
    tilt: float = 0.0
    twist: float = 0.0
    inputs: tuple[Input, ...] = ()
    preset: str = ""

    @property
    def take_off(self) -> TakeOff:
        """Momentum and lean at take-off."""
        return TakeOff((self.momentum, 0.0, 0.0), rotation.orientation(tilt=self.tilt, twist=self.twist))


def plan_of_json(record: Mapping[str, Any]) -> LabPlan:
    """The plan in a JSON value.

    Raises PlanError, RangeError or ShapeError in words for anything that is no plan.
    """
    if record.get("kind") != KIND or record.get("version") != VERSION:
        raise PlanError(
            f"JSON that calls itself {record.get('kind')!r}, version {record.get('version')!r}"[:120],
            f"{KIND!r}, version {VERSION}",
            "choose a plan that the lab has saved",
        )
    leaving = part(record, "take_off")
    keys = tuple(_key(one) for one in rows(record, "keys", MOST_KEYS))
    plan = Plan(shape_from(_angles(part(record, "start_deg"))), keys, words(record, "name"))
    momentum = number(leaving, "momentum_per_kg", (-5.0, 5.0))
    return LabPlan(
        name=plan.name,
        person=_person(part(record, "person")),
        duration=number(record, "duration_s", DURATION),
        momentum=momentum,
        plan=plan,
        aim=None if record.get("aim") is None else _aim(part(record, "aim")),
        tilt=radians_from_degrees(number(leaving, "tilt_deg", (-45.0, 45.0), 0.0)),
        twist=radians_from_degrees(number(leaving, "twist_deg", (-180.0, 180.0), 0.0)),
        inputs=tuple(_input(one, plan, momentum) for one in rows(record, "inputs", MOST_INPUTS)),
        preset=words(record, "preset", 40),
    )


def plan_as_json(lab: LabPlan) -> dict[str, Any]:
    """A plan as JSON values, in degrees, seconds and centimetres; angles at zero are left out at the start."""
    aim = lab.aim
    return {
        "kind": KIND,
        "version": VERSION,
        "name": lab.name,
        "preset": lab.preset,
        "person": {
            "stature_cm": round(lab.person.stature * 100, 1),
            "table": lab.person.table,
            "age": round(lab.person.age, 1),
        },
        "duration_s": round(lab.duration, 4),
        "take_off": {
            "momentum_per_kg": round(lab.momentum, 5),
            "tilt_deg": _deg(lab.tilt),
            "twist_deg": _deg(lab.twist),
        },
        "start_deg": {name: _deg(a) for name, a in shape_as_dict(lab.plan.start).items() if a},
        "keys": [
            {
                "time_s": round(key.time, 4),
                "lead_s": None if key.lead is None else round(key.lead, 4),
                "through": key.through,
                "angles_deg": {name: _deg(a) for name, a in key.angles.items()},
            }
            for key in lab.plan.keys
        ],
        "aim": None
        if aim is None
        else {
            "somersaults": aim.somersaults,
            "twists": aim.twists,
            "halfway_twists": aim.halfway,
            "shape": aim.shape.value if aim.shape else None,
        },
        "inputs": [_input_json(one) for one in lab.inputs],
    }


def technique_of(lab: LabPlan, inputs: tuple[Input, ...] | None = None) -> Technique:
    """The plan as a technique of the mechanics, with what may be chosen about it.

    Raises PlanError where no aim is set: without one nobody can say how a landing is off.
    """
    if lab.aim is None:
        raise PlanError("a plan without an aim", "somersaults and twists that it is to end in", "set its aim")
    chosen = inputs if inputs is not None else (lab.inputs or (momentum_input(lab.momentum),))
    return Technique(
        lab.name or "plan", lab.plan, chosen, lab.duration,
        lab.aim.somersaults, lab.aim.twists, lab.aim.halfway, lab.tilt, lab.twist,
    )  # fmt: skip


def momentum_input(momentum: float) -> Input:
    """The momentum as something that may be chosen."""
    reach = max(abs(momentum), 0.05)
    return Input(
        "momentum", momentum, (momentum - 0.4 * reach, momentum + 0.4 * reach), "m²/s", momentum=True
    )


@lru_cache(maxsize=256)
def _body(stature: float, table: Literal["female", "male"], age: float) -> Body:
    return body(stature, table, age=age)


def _person(record: Mapping[str, Any]) -> Person:
    table = record.get("table", "female")
    if table not in TABLES:
        raise PlanError(
            f"a table {table!r}"[:80], "female or male", "choose one of the two tables of proportions"
        )
    return Person(
        number(record, "stature_cm", (80.0, 230.0)) / 100, table, number(record, "age", (4.0, 99.0), 15.0)
    )


def _aim(record: Mapping[str, Any]) -> Aim:
    named = record.get("shape")
    known = {shape.value: shape for shape in Shape}
    if named is not None and (not isinstance(named, str) or named not in known):
        raise PlanError(f"a shape {named!r}"[:80], f"one of {', '.join(known)}", "choose one of these")
    return Aim(
        number(record, "somersaults", (-5.0, 5.0)),
        number(record, "twists", (-6.0, 6.0)),
        None if record.get("halfway_twists") is None else number(record, "halfway_twists", (-6.0, 6.0)),
        None if named is None else known[named],
    )


def _key(record: Mapping[str, Any]) -> Key:
    return Key(
        number(record, "time_s", (0.0, DURATION[1])),
        _angles(part(record, "angles_deg")),
        lead=None if record.get("lead_s") is None else number(record, "lead_s", (0.001, DURATION[1])),
        through=record.get("through", False) is True,
    )


def _angles(record: Mapping[str, Any]) -> dict[str, float]:
    strange = [name for name in record if name not in ANGLE_NAMES]
    if strange:
        raise PlanError(
            f"a joint angle {strange[0]!r}"[:80], f"one of {', '.join(ANGLE_NAMES)}", "check its name"
        )
    return {name: radians_from_degrees(number(record, name, (-360.0, 360.0))) for name in record}


def _input(record: Mapping[str, Any], plan: Plan, momentum: float) -> Input:
    """One thing that may be chosen; its value is what the plan has, and its limits give way to it."""
    last = len(plan.keys) - 1
    unit = words(record, "unit", 8)
    keys = _numbers(record.get("keys", []), last)
    angles = tuple(_pinned(one, plan) for one in listed(record, "angles"))
    if unit == "s" and keys:
        value = plan.keys[keys[0]].time
    elif unit == "rad" and angles:
        k, name, factor = angles[0]
        value = plan.keys[k].angles[name] / factor
    elif unit == "m²/s" and record.get("momentum") is True:
        value = momentum
    else:
        raise PlanError(
            f"an input with the unit {unit!r} that moves nothing",
            "keys in s, angles in rad, or the momentum in m²/s",
            "leave the inputs out to have them found",
        )
    least, most = number(record, "least", (-100.0, 100.0)), number(record, "most", (-100.0, 100.0))
    limits = (min(least, value), max(most, value))
    return Input(words(record, "name"), value, limits, unit, keys, angles, unit == "m²/s")


def _numbers(value: object, last: int) -> tuple[int, ...]:
    found = value if isinstance(value, list) else [None]
    if not all(isinstance(k, int) and not isinstance(k, bool) and 0 <= k <= last for k in found):
        raise PlanError(
            "an input for a key that is not there", f"numbers from 0 to {last}", "leave inputs out"
        )
    return tuple(found)


def _pinned(value: object, plan: Plan) -> tuple[int, str, float]:
    if isinstance(value, list) and len(value) == 3:
        k, name, factor = value
        named = isinstance(k, int) and not isinstance(k, bool) and isinstance(name, str)
        if named and 0 <= k < len(plan.keys) and name in plan.keys[k].angles and factor in (1, -1):
            return k, name, float(factor)
    raise PlanError(
        f"an input for {value!r}"[:80],
        "[a key's number, an angle that it names, 1 or -1]",
        "leave inputs out",
    )


def _input_json(one: Input) -> dict[str, Any]:
    return {
        "name": one.name,
        "unit": one.unit,
        "least": round(one.limits[0], 4),
        "most": round(one.limits[1], 4),
        "keys": list(one.keys),
        "angles": [[k, name, factor] for k, name, factor in one.angles],
        "momentum": one.momentum,
    }


def _deg(angle: float) -> float:
    return round(degrees_from_radians(angle), 2) + 0.0
