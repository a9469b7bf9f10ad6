"""What the lab is asked for, each as one call: JSON in, JSON out, for the browser and for the command line alike."""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import replace
from pathlib import Path
from typing import Any
from uuid import UUID

from loftbook.book.people import Athlete
from loftbook.desk import Desk
from loftbook.desk.files import write_file
from loftbook.desk.lab.choosing import plan_named
from loftbook.desk.lab.fan import USUAL, fan, fan_json, fan_of
from loftbook.desk.lab.fan_words import leans
from loftbook.desk.lab.flying import FRAMES, USUAL_FRAMES, flown, flown_json
from loftbook.desk.lab.forgiving import STARTS, USUAL_STARTS, Progress, Searches, forgive
from loftbook.desk.lab.link import code_of, plan_of_code
from loftbook.desk.lab.numbers import part, whole
from loftbook.desk.lab.planned import DURATION, TABLES, LabPlan, Person, plan_as_json, plan_of_json
from loftbook.desk.lab.presets import presets_json
from loftbook.desk.people import athlete
from loftbook.errors import PlanError, RangeError
from loftbook.mechanics.multibody import compile_kernels


def answer_fly(asked: Mapping[str, Any]) -> dict[str, Any]:
    """A plan flown: figure, frames, curves, result."""
    frames = whole(asked, "frames", FRAMES, USUAL_FRAMES)
    return flown_json(flown(plan_of_json(part(asked, "plan")), frames=frames))


def answer_fan(asked: Mapping[str, Any]) -> dict[str, Any]:
    """Where a plan lands over many flights that are never quite as meant."""
    return fan_of(plan_of_json(part(asked, "plan")), asked)


def answer_compare(asked: Mapping[str, Any]) -> dict[str, Any]:
    """Two plans flown and fanned out beside each other, and how they differ in a sentence."""
    plans = asked.get("plans")
    if not isinstance(plans, list) or len(plans) != 2 or not all(isinstance(p, Mapping) for p in plans):
        raise PlanError("something else than two plans", "a list called plans with two of them", "send two")
    return compared(*(plan_of_json(one) for one in plans))


def compared(one: LabPlan, other: LabPlan) -> dict[str, Any]:
    """Two plans beside each other, with the usual noise and the same draws."""
    fans = [fan(plan, noise=USUAL) for plan in (one, other)]
    told = [fan_json(found, plan) for found, plan in zip(fans, (one, other), strict=True)]
    spreads = [found["bands"]["twist"]["spread_deg"] for found in told]
    names = [one.name or "the first plan", other.name or "the second plan"]
    wide, slim = (0, 1) if spreads[0] >= spreads[1] else (1, 0)
    times = spreads[wide] / spreads[slim] if spreads[slim] > 0.5 else 0.0
    more = f", {times:.1f} times as wide" if times >= 1.15 else ""
    tilts = [found["bands"]["tilt"] for found in told]
    still = [leans(one["least_deg"], one["most_deg"]) for one in tilts]
    sentence = (
        f"{names[wide]}: two of three landings face within {spreads[wide]:.0f}° of their middle{more}; {names[slim]}: "
        f"within {spreads[slim]:.0f}°. Both were flown with the same slips of timing and spin. At landing she still "
        f"leans out of line: {names[0]} {still[0]}, {names[1]} {still[1]}."
    )
    flights = [flown_json(flown(plan)) for plan in (one, other)]
    return {"version": 1, "flights": flights, "fans": told, "sentence": sentence}


def flown_named(plan: str, *, frames: int, body: tuple[float, str, float]) -> dict[str, Any]:
    """A plan by its name, file or link, as it is and flown."""
    lab = chosen(plan, body)
    return {"plan": plan_as_json(lab), "flown": flown_json(flown(lab, frames=frames))}


def fan_named(plan: str, asked: Mapping[str, Any], *, body: tuple[float, str, float]) -> dict[str, Any]:
    """The fan of a plan by its name, file or link."""
    return fan_of(chosen(plan, body), asked)


def forgive_named(
    plan: str, *, seed: int, starts: int, body: tuple[float, str, float], progress: Progress | None = None
) -> dict[str, Any]:
    """The most forgiving timing of a plan by its name, file or link."""
    return forgive(chosen(plan, body), seed=seed, starts=starts, progress=progress)


def save_plan(file: Path, plan: Mapping[str, Any]) -> None:
    """Writes a plan to a file that the studio and the commands read again."""
    write_file(file, (json.dumps(plan, indent=1, ensure_ascii=False) + "\n").encode(), option="--save")


def chosen(plan: str, body: tuple[float, str, float]) -> LabPlan:
    """The plan as any reader of its file has it: rounded once, so that every number comes out again."""
    stature_cm, table, age = body
    if table not in TABLES:
        raise PlanError(f"a table {table!r}"[:80], "female or male", "choose one of the two")
    chosen = TABLES[TABLES.index(table)]
    return plan_of_json(plan_as_json(plan_named(plan, stature_cm=stature_cm, table=chosen, age=age)))


def answer_forgive(asked: Mapping[str, Any], searches: Searches) -> dict[str, Any]:
    """Begin to look for the timing that forgives most."""
    lab = plan_of_json(part(asked, "plan"))
    starts = whole(asked, "starts", STARTS, USUAL_STARTS)
    return searches.start(lab, seed=whole(asked, "seed", (0, 2**31), 1), starts=starts)


def answer_link(asked: Mapping[str, Any]) -> dict[str, Any]:
    """A plan as letters for a link, and the address of the studio with it."""
    code = code_of(plan_of_json(part(asked, "plan")))
    return {"code": code, "address": f"/lab?plan={code}"}


def answer_plan(code: str) -> dict[str, Any]:
    """The plan that a link holds."""
    return {"plan": plan_as_json(plan_of_code(code))}


def answer_presets(
    desk: Desk,
    *,
    stature_cm: float | None = None,
    table: str | None = None,
    age: float | None = None,
    duration_s: float | None = None,
    athlete_id: UUID | None = None,
) -> dict[str, Any]:
    """The flights to begin with, for a body that is described, or for that of somebody in the book."""
    base = Person() if athlete_id is None else person_of(desk, athlete(desk, athlete_id))
    if table is not None and table not in TABLES:
        raise PlanError(f"a table {table!r}"[:80], "female or male", "choose one of the two")
    person = replace(
        base,
        stature=base.stature if stature_cm is None else round(stature_cm, 1) / 100,
        table=base.table if table is None else TABLES[TABLES.index(table)],
        age=base.age if age is None else round(age, 1),
    )
    if not (0.8 <= person.stature <= 2.3 and 4 <= person.age <= 99):
        raise RangeError(
            f"a body of {100 * person.stature:g} cm and {person.age:g} years",
            "80 to 230 cm and 4 to 99 years",
            "give centimetres and years",
        )
    if duration_s is not None and not DURATION[0] <= duration_s <= DURATION[1]:
        raise RangeError(
            f"{duration_s:g} s in the air", f"{DURATION[0]:g} to {DURATION[1]:g} s", "give seconds"
        )
    shown = {"stature_cm": round(100 * person.stature, 1), "table": person.table, "age": person.age}
    return {**presets_json(person, duration_s), "person": shown}


def person_of(desk: Desk, who: Athlete) -> Person:
    """Her body for the lab: the latest height and her age today, and what is usual where one is missing."""
    usual = Person()
    age = who.age_on(desk.clock().date())
    return Person(
        round(who.height.metres, 3) if who.height else usual.stature,
        usual.table,
        usual.age if age is None else min(max(age, 4.0), 99.0),
    )


def warm_up() -> None:
    """Compile and load all that a first drag in the studio would wait for."""
    compile_kernels()
    plan = plan_of_json(presets_json(Person())["presets"][0]["plan"])
    flown_json(flown(plan, frames=3))
    fan(plan, count=20)
