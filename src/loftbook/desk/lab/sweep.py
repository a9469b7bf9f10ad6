"""How a plan lands over many bodies, spins and timings: one fan for each, on this machine or on a cluster."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import product
from typing import Any

from loftbook.desk.lab.answers import chosen
from loftbook.desk.lab.fan import fan_of
from loftbook.desk.lab.mapping import Here, Mapper
from loftbook.desk.lab.planned import plan_as_json, plan_of_json
from loftbook.errors import RangeError

MOST_CASES = 5000


@dataclass(frozen=True)
class Case:
    """One body, spin and timing, with all that its fan is drawn from.

    Units
        stature_cm : cm; spin : per cent of the plan's momentum; timing : ms, standard deviation of each movement
    """

    plan: dict[str, Any]
    stature_cm: float
    spin: float
    timing: float
    count: int
    seed: int


def sweep(  # noqa: PLR0913 - a grid has its axes
    plan: str,
    *,
    statures: Sequence[float],
    spins: Sequence[float],
    timings: Sequence[float],
    draws: tuple[int, int] = (200, 1),
    proportions: tuple[str, float] = ("female", 15.0),
    mapper: Mapper | None = None,
) -> dict[str, Any]:
    """The band of the landing's twist for each stature, spin and timing; `draws` are count and seed of each fan.

    The same numbers on any `mapper`. Raises RangeError for a grid that is too large or values that nobody has.
    """
    size = len(statures) * len(spins) * len(timings)
    if not 1 <= size <= MOST_CASES:
        raise RangeError(f"a grid of {size} cases", f"1 to {MOST_CASES}", "ask for fewer values")
    _within("spin", spins, 50.0, 150.0)
    _within("timing", timings, 0.0, 100.0)
    plans = {one: plan_as_json(chosen(plan, (one, *proportions))) for one in statures}
    cases = [
        Case(plans[stature], stature, spin, timing, *draws)
        for stature, spin, timing in product(statures, spins, timings)
    ]
    rows = (mapper or Here()).map(landed, cases)
    return {"version": 1, "count": draws[0], "seed": draws[1], "rows": list(rows)}


def landed(case: Case) -> dict[str, Any]:
    """The fan of one case, as the band of its twist at landing in degrees."""
    lab = plan_of_json(case.plan)
    lab = replace(lab, momentum=lab.momentum * case.spin / 100)
    asked = {"noise": {"timing_ms": case.timing}, "count": case.count, "seed": case.seed}
    twist: dict[str, float] = fan_of(lab, asked)["bands"]["twist"]
    told = {"stature_cm": case.stature_cm, "spin_percent": case.spin, "timing_ms": case.timing}
    return told | twist


def _within(what: str, values: Sequence[float], least: float, most: float) -> None:
    for value in values:
        if not least <= value <= most:
            raise RangeError(f"a {what} of {value:g}", f"{least:g} to {most:g}", "correct that value")
