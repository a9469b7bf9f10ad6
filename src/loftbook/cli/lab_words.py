"""The lab's answers as lines for people."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from loftbook.desk.lab.next_steps import AthleteSteps, CampSteps
from loftbook.insight.next_step_told import told_degrees


def budget_lines(found: AthleteSteps) -> Iterator[str]:
    """One gymnast's next rungs."""
    yield found.athlete.name.full + (" (invented)" if found.invented else "")
    for step in found.steps:
        yield ""
        yield f"{step.name}: {step.sentence}"
        yield from (f"  each alone: {lever.words}" for lever in step.levers)
        yield f"  {step.hold.words}"
        yield f"  {step.taller}"
        yield from (f"  {one}" for one in step.elsewhere)
    if not found.steps:
        yield "No double without twist on the ladder is left that she has not done alone or set aside."
    yield ""
    if found.steps:
        yield "It rests on: " + "; ".join([*found.steps[0].rests_on, *found.assumed]) + "."
        yield from found.steps[0].missing
    yield from found.beyond
    if found.set_aside:
        yield f"Left out, because she declined, stopped or was not allowed: {', '.join(found.set_aside)}."
    yield found.decides


def group_lines(found: CampSteps) -> Iterator[str]:
    """Everybody at a camp."""
    yield f"{found.title}, {found.camp.name}" + (" (invented)" if found.invented else "")
    for row in found.rows:
        rung = f"{row.rung_name}: " if row.rung_name else ""
        if row.margin is None:
            yield f"{row.name}: {rung}nothing says how much spin she has"
        else:
            over = row.margin.over
            how = "film" if row.filmed else "carried over"
            yield (
                f"{row.name}: {rung}{told_degrees(over.middle)} ({told_degrees(over.least)} to "
                f"{told_degrees(over.most)}), {how}"
            )
    if found.unmeasured:
        yield f"Nobody has measured yet: {', '.join(found.unmeasured)}."
    yield found.decides


def flown_lines(found: dict[str, Any]) -> Iterator[str]:
    """A flight."""
    flown = found["flown"]
    result = flown["result"]
    yield result["sentence"]
    if result["off_in_words"]:
        yield f"Against its aim: {result['off_in_words']}."
    if flown["verdict"]["trust"] != "good":
        yield flown["verdict"]["sentence"]
    yield flown["caution"]


def fan_lines(found: dict[str, Any]) -> Iterator[str]:
    """A fan of landings."""
    yield found["sentence"]
    for one in found["movements"]:
        when = "" if " at " in one["name"] else f" at {one['time_s']:.2f} s"
        yield f"  {one['name']}{when}: 10 ms early {one['early']['words']}, 10 ms late {one['late']['words']}"


def replay_lines(found: dict[str, Any]) -> Iterator[str]:
    """A recorded flight."""
    yield f"{found['name']}: {found['result']['sentence']}"
    yield found["verdict"]["sentence"]
    yield found["caution"]


def forgiven_lines(found: dict[str, Any]) -> Iterator[str]:
    """A forgiving plan."""
    yield found["sentence"]
    yield from fan_lines(found["fan"])
