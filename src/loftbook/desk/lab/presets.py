"""The flights that the lab begins with, for whose body it may be."""

from __future__ import annotations

import tomllib
from collections.abc import Callable
from dataclasses import replace
from functools import cache, lru_cache
from importlib import resources
from typing import Any

from loftbook.desk.lab.planned import LabPlan, Person, plan_as_json
from loftbook.desk.lab.settling import settled
from loftbook.desk.lab.techniques import (
    DOUBLE_TIME,
    SHAPES,
    SINGLE_TIME,
    TWISTS,
    Preset,
    arm_drop,
    shaped,
    solved,
)
from loftbook.errors import UnknownThing
from loftbook.mechanics import Body
from loftbook.mechanics.twist_technique import with_values

_TOLD = {
    "back_full": (
        "Back full",
        "One somersault straight, a full twist: one arm down, then the other.",
        "4 2 /",
    ),
    "full_in": ("Full-in, tuck", "The full twist in the first somersault, then a tuck.", "8 2 – o"),
    "full_out": (
        "Full-out, tuck",
        "A tuck, the kick-out, the full twist in the second somersault.",
        "8 – 2 o",
    ),
    "half_in_half_out": (
        "Half-in half-out, tuck",
        "A half twist in each somersault, a tuck between.",
        "8 1 1 o",
    ),
    "barani_out": (
        "Barani-out, tuck",
        "Forward: a tuck, then a half twist in the second somersault.",
        "8 – 1 o",
    ),
}
_SYMBOLS = {"tuck": "o", "pike": "<", "open tuck": "o", "straight": "/"}


def presets() -> tuple[Preset, ...]:
    """Every flight that the lab begins with, in the order in which they are offered."""
    doubles = [
        Preset(
            "double_" + name.replace(" ", "_"),
            f"Double back, {name}",
            f"Two somersaults backward, {name}, no twist.",
            f"8 – – {_SYMBOLS[name]}",
            DOUBLE_TIME,
            shaped(f"Double back, {name}", shape, label),
        )
        for name, shape, label in SHAPES
    ]
    twists = [
        Preset(key, *_TOLD[key], SINGLE_TIME if key == "back_full" else DOUBLE_TIME, _twisting(key))
        for key in TWISTS
    ]
    drop = Preset(
        "arm_drop_open_tuck",
        "One arm down in an open tuck",
        "How little twist one arm makes while the hips are closed; what comes of it is the finding.",
        "",
        DOUBLE_TIME,
        arm_drop,
    )
    return (*doubles, *twists, drop)


@lru_cache(maxsize=256)
def preset_plan(key: str, person: Person, duration: float | None = None) -> LabPlan:
    """One of them for this body and this time in the air; raises UnknownThing for another name.

    >>> preset_plan("double_tuck", Person()).name
    'Double back, tuck'
    """
    for one in presets():
        if one.key == key:
            made = one.make(person.body, duration or one.duration)
            return replace(made, person=person, preset=key, name=one.name)
    raise UnknownThing(
        f"no preset {key!r}"[:80], f"one of {', '.join(p.key for p in presets())}", "choose one"
    )


def presets_json(person: Person, duration: float | None = None) -> dict[str, Any]:
    """All of them for one body, as JSON values; `duration` in s for all, or each its usual one."""
    return {
        "version": 1,
        "presets": [
            {
                "key": one.key,
                "name": one.name,
                "words": one.words,
                "notation": one.notation,
                "plan": plan_as_json(preset_plan(one.key, person, duration)),
            }
            for one in presets()
        ],
    }


def _twisting(key: str) -> Callable[[Body, float], LabPlan]:
    def make(body: Body, flight_time: float) -> LabPlan:
        technique, label = TWISTS[key]
        begun = technique(body, flight_time=flight_time)
        shares = _timings()[key]
        values = [one.limits[0] + shares[one.name] * (one.limits[1] - one.limits[0]) for one in begun.inputs]
        return solved(_TOLD[key][0], settled(body, with_values(begun, values)), label)

    return make


@cache
def _timings() -> dict[str, dict[str, float]]:
    text = resources.files("loftbook.desk.lab").joinpath("presets.toml").read_text("utf-8")
    return tomllib.loads(text)
