"""Look for the timing that forgives most, with progress; and the searches that a browser has asked for."""

from __future__ import annotations

import threading
from collections import OrderedDict
from collections.abc import Callable
from dataclasses import dataclass, field, replace
from typing import Any

from loftbook.desk.lab.fan import fan, fan_json
from loftbook.desk.lab.fan_words import spread
from loftbook.desk.lab.planned import LabPlan, momentum_input, plan_as_json, technique_of
from loftbook.errors import LoftbookError, PlanError, Refused, UnknownThing
from loftbook.mechanics import Plan, Solved, Technique, solve_landing
from loftbook.mechanics.twist_technique import Input
from loftbook.units import degree, degrees_from_radians

STARTS = (4, 60)
USUAL_STARTS = 16
REACH = 0.12  # of the flight time, by which a key may be moved either way
KEPT = 8  # searches that are remembered
_ARMS = ("left_arm_abduction", "right_arm_abduction")

Progress = Callable[[float, str], None]


def inputs_for(lab: LabPlan) -> tuple[Input, ...]:
    """What may be chosen about a plan: as it says itself; else momentum, each key's time, how far an arm goes."""
    if any(one.momentum for one in lab.inputs):
        return lab.inputs
    found = [momentum_input(lab.momentum)]
    for n, key in enumerate(lab.plan.keys):
        if key.time >= lab.duration:
            continue
        reach = REACH * lab.duration
        limits = (max(key.time - reach, 0.02), min(key.time + reach, lab.duration))
        if limits[0] < key.time < limits[1]:
            found.append(Input(f"time of key {n + 1}", key.time, limits, "s", keys=(n,)))
        arms = [name for name in key.angles if name in _ARMS]
        if set(key.angles) == set(arms) and len(arms) == 1:
            angle = key.angles[arms[0]]
            limits = (max(angle - 40 * degree, -10 * degree), min(angle + 40 * degree, 180 * degree))
            if limits[0] <= angle <= limits[1]:
                found.append(
                    Input(
                        f"how far the arm goes at key {n + 1}",
                        angle,
                        limits,
                        "rad",
                        angles=((n, arms[0], 1.0),),
                    )
                )
    return tuple(found)


def forgive(
    lab: LabPlan, *, seed: int = 1, starts: int = USUAL_STARTS, progress: Progress | None = None
) -> dict[str, Any]:
    """The timing that forgives most, as JSON values: the plan found, its fan, and the fan before.

    Raises PlanError where the plan has no aim.
    """
    technique = technique_of(lab, inputs_for(lab))
    found = solve_landing(lab.person.body, technique, seed=seed, starts=starts, progress=progress)
    better = _with(lab, found.technique)
    before, after = fan(lab), fan(better)
    return {
        "version": 1,
        "plan": plan_as_json(better),
        "fan": fan_json(after, better),
        "before": fan_json(before, lab),
        "spread_deg": {
            "before": _deg(spread(before.twist)),
            "after": _deg(spread(after.twist)),
            "best_on_paper": None if found.perfect_spread is None else _deg(found.perfect_spread),
        },
        "starts": found.starts,
        "flights": found.flights,
        "seed": seed,
        "verdict": {"trust": found.verdict.trust.value, "sentence": found.verdict.sentence},
        "sentence": _sentence(found, spread(before.twist), spread(after.twist)),
    }


def _with(lab: LabPlan, technique: Technique) -> LabPlan:
    return replace(
        lab,
        momentum=technique.momentum,
        plan=Plan(technique.plan.start, technique.plan.keys, lab.name),
        inputs=technique.inputs,
    )


def _sentence(found: Solved, before: float, after: float) -> str:
    text = (
        f"Of {found.starts} places tried ({found.flights} flights) the most forgiving: two of three landings face "
        f"within {degrees_from_radians(after):.0f}° of their middle; with the plan before it was "
        f"{degrees_from_radians(before):.0f}°."
    )
    if found.perfect_spread is not None:
        text += (
            f" The timing that is most exact on paper scatters by {degrees_from_radians(found.perfect_spread):.0f}° "
            "when the body's lean at take-off varies too."
        )
    return f"{text} Nobody corrects in flight in this model, so no timing is to be counted on."


class _Stopped(Exception):
    """Somebody does not want to wait any longer."""


@dataclass
class _Search:
    share: float = 0.0
    sentence: str = "Waiting to begin"
    answer: dict[str, Any] | None = None
    trouble: str = ""
    wanted: bool = True
    done: threading.Event = field(default_factory=threading.Event)


class Searches:
    """Searches for forgiving plans that run beside the pages: one at a time, the last few remembered."""

    def __init__(self) -> None:
        self._searches: OrderedDict[str, _Search] = OrderedDict()
        self._lock = threading.Lock()
        self._count = 0

    def start(self, lab: LabPlan, *, seed: int = 1, starts: int = USUAL_STARTS) -> dict[str, Any]:
        """Begin to look, and answer at once.

        Raises Refused while another search runs; PlanError for a plan without an aim.
        """
        if lab.aim is None:
            raise PlanError("a plan without an aim", "somersaults and twists to end in", "set its aim first")
        with self._lock:
            if any(not one.done.is_set() for one in self._searches.values()):
                raise Refused(
                    "a search that is still running",
                    "one at a time, so that drawing stays quick",
                    "wait for it or stop it",
                )
            self._count += 1
            name, search = str(self._count), _Search()
            self._searches[name] = search
            while len(self._searches) > KEPT:
                self._searches.popitem(last=False)
        run = threading.Thread(target=_run, args=(search, lab, seed, starts), name="lab search", daemon=True)
        run.start()
        return self.look(name)

    def look(self, name: str) -> dict[str, Any]:
        """How far a search is, and its answer when it has one. Raises UnknownThing for one long gone."""
        search = self._searches.get(name)
        if search is None:
            raise UnknownThing("no such search", "one of the last few", "start it again")
        return {
            "search": name,
            "share": round(search.share, 3),
            "sentence": search.sentence,
            "done": search.done.is_set(),
            "trouble": search.trouble,
            "found": search.answer,
        }

    def stop(self, name: str) -> dict[str, Any]:
        """Give a search up; it ends at its next step."""
        search = self._searches.get(name)
        if search is not None:
            search.wanted = False
            search.done.wait(5.0)
        return self.look(name)


def _run(search: _Search, lab: LabPlan, seed: int, starts: int) -> None:
    def tell(share: float, sentence: str) -> None:
        search.share, search.sentence = share, sentence
        if not search.wanted:
            raise _Stopped

    try:
        search.answer = forgive(lab, seed=seed, starts=starts, progress=tell)
    except _Stopped:
        search.sentence = "Stopped"
    except LoftbookError as error:
        search.trouble = error.sentence()
    except Exception:
        search.trouble = "The search ended in a fault of the program. What to do: try another plan."
        raise
    finally:
        search.done.set()


def _deg(angle: float) -> float:
    return round(degrees_from_radians(angle), 2)
