"""A plan that somebody names: a file, a link, or one of the flights that the lab begins with."""

from __future__ import annotations

from pathlib import Path
from typing import Literal

from loftbook.desk.lab.link import LARGEST_PLAN, MARK, plan_of_code, read_json
from loftbook.desk.lab.planned import LabPlan, Person, plan_of_json
from loftbook.desk.lab.presets import preset_plan, presets
from loftbook.errors import PlanError, UnknownThing


def plan_named(
    text: str,
    *,
    stature_cm: float = 160.0,
    table: Literal["female", "male"] = "female",
    age: float = 15.0,
) -> LabPlan:
    """The plan in a file, behind a link or address, or by a preset's name; the body counts for presets only.

    Raises UnknownThing for a name that is none of these, PlanError for a file that holds no plan.
    """
    if MARK in text:
        return plan_of_code(text[text.index(MARK) :].partition("&")[0].strip())
    if text in {one.key for one in presets()}:
        return preset_plan(text, Person(round(stature_cm / 100, 4), table, age))
    file = Path(text)
    try:
        data = file.read_bytes()[: LARGEST_PLAN + 1]
    except OSError as error:
        names = ", ".join(one.key for one in presets())
        raise UnknownThing(
            f"no plan called {text!r}"[:200],
            f"a file, a link with p1. in it, or one of {names}",
            "check the name",
        ) from error
    if len(data) > LARGEST_PLAN:
        raise PlanError(
            f"a file of more than {LARGEST_PLAN // 1000} kB", "a plan, which is far smaller", "choose it"
        )
    read = read_json(data)
    inner = read.get("plan")
    return plan_of_json(inner if isinstance(inner, dict) else read)
