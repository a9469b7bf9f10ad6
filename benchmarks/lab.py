"""The lab's answers: one drag, a fan of landings, a camp's margins; with the JSON that a browser sends and gets."""

from __future__ import annotations

import json
from collections.abc import Callable
from datetime import UTC, date, datetime
from time import perf_counter, process_time

from benchmarks.registry import Row, bench
from loftbook.book.entries import Entry
from loftbook.book.identity import same_fact
from loftbook.book.people import Athlete, Camp, Height, Name
from loftbook.desk import Desk
from loftbook.desk.entry import write_entries
from loftbook.desk.lab.answers import answer_fan, answer_fly, warm_up
from loftbook.desk.lab.next_steps import athlete_steps, camp_steps
from loftbook.desk.lab.planned import Person, plan_as_json
from loftbook.desk.lab.presets import preset_plan, presets
from loftbook.insight.pace import _pace
from loftbook.mechanics import Plan, TakeOff, fly, straight
from loftbook.store import camps, people

DRAG, FAN, GROUP = 50.0, 300.0, 1000.0  # ms
CHILDREN = 60
CAMP = same_fact("bench lab camp")
NOW = datetime(2026, 4, 11, 15, 0, tzinfo=UTC)


def times(once: Callable[[], object], repeats: int) -> list[float]:
    """Milliseconds of each repeat, sorted."""
    found = []
    for _ in range(repeats):
        begun = perf_counter()
        once()
        found.append(1e3 * (perf_counter() - begun))
    return sorted(found)


def processor(once: Callable[[], object], repeats: int) -> float:
    """Milliseconds of processor time for each repeat, all threads together: other work on the machine is not in it."""
    begun = process_time()
    for _ in range(repeats):
        once()
    return 1e3 * (process_time() - begun) / repeats


def p95(sorted_times: list[float]) -> float:
    """The 95th of 100."""
    return sorted_times[int(0.95 * len(sorted_times))]


@bench("lab drag", "one plan from JSON to JSON: figure, curves, result; and the flight alone")
def drag() -> list[Row]:
    """Every preset in turn, as a hand that drags would ask; the network and the drawing are not in it."""
    warm_up()
    sent = [json.dumps({"plan": plan_as_json(preset_plan(one.key, Person()))}) for one in presets()]
    turn = iter(sent * 60)

    def once() -> str:
        return json.dumps(answer_fly(json.loads(next(turn))), separators=(",", ":"), allow_nan=False)

    found = times(once, 30 * len(sent))
    girl = Person().body
    alone = times(lambda: fly(girl, Plan(straight()), TakeOff((0.5, 0, 0)), duration=1.5), 200)
    return [
        Row("median", found[len(found) // 2], "ms"),
        Row("95th of 100", p95(found), "ms", target=DRAG),
        Row("processor time, mean", processor(once, 10 * len(sent)), "ms"),
        Row("the flight alone, median", alone[100], "ms"),
        Row("answer", len(once()) / 1000, "kB"),
    ]


@bench("lab fan", "500 landings with noise, from JSON to JSON")
def landings() -> list[Row]:
    """A full-in, the plan with the most to move."""
    warm_up()
    asked = json.dumps({"plan": plan_as_json(preset_plan("full_in", Person()))})

    def once() -> str:
        return json.dumps(answer_fan(json.loads(asked)))

    found = times(once, 30)
    return [
        Row("median", found[15], "ms"),
        Row("95th of 100", p95(found), "ms", target=FAN),
        Row("processor time, mean", processor(once, 20), "ms"),
    ]


def filled() -> Desk:
    """A camp of sixty invented children of 8 to 17 years, each with doubles of her own."""
    from loftbook.desk.opening import open_desk

    desk = open_desk(":memory:", clock=lambda: NOW)
    ids = [same_fact("bench lab child", str(n)) for n in range(CHILDREN)]
    with desk.store.write() as connection:
        children = [
            Athlete(
                who,
                (Name(f"Given{n}", f"Family{n}"),),
                date(2008 + n % 10, 3, 1),
                heights=(Height(1.30 + 0.005 * n, date(2026, 4, 1)),),
                invented=True,
            )
            for n, who in enumerate(ids)
        ]
        people.add_athletes(connection, children)
        camps.add_camp(
            connection, Camp(CAMP, "Bench", NOW.date(), NOW.date(), desk.ladder.edition, invented=True)
        )
        camps.expect(connection, CAMP, {who: str(n) for n, who in enumerate(ids)})
    rungs = ("double_tuck", "double_pike", "double_open_tuck")
    entries = [
        Entry(
            id=same_fact("bench lab turn", str(n), rung), camp=CAMP, athlete=who, rung=rung, outcome="did_it", at=NOW,
            rater="Bench", help="nobody_in", take_off="trampoline", landing="soft_flat_mat",
        )
        for n, who in enumerate(ids)
        for rung in rungs[: n % 4]
    ]  # fmt: skip
    write_entries(desk, tuple(entries))
    return desk


@bench(
    "lab group",
    "the margins of 60 athletes for their next rung, from the book; and one athlete's whole next step",
)
def group() -> list[Row]:
    """Cold: nothing of any shape is remembered; warm: as the second time a page is opened."""
    warm_up()
    desk = filled()
    cold = []
    for _ in range(5):
        _pace.cache_clear()
        cold += times(lambda: camp_steps(desk, CAMP), 1)
    warm = times(lambda: camp_steps(desk, CAMP), 10)
    one = times(lambda: athlete_steps(desk, same_fact("bench lab child", "1")), 20)
    desk.store.close()
    return [
        Row("60 budgets, cold", sorted(cold)[2], "ms", target=GROUP),
        Row("60 budgets, warm", warm[5], "ms"),
        Row("one athlete's next steps, warm", one[10], "ms"),
    ]
