"""The plan of a camp's day: kept, read, and what it says about the order and the time."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import time
from typing import Any
from uuid import UUID

from loftbook.book.people import Athlete, Camp
from loftbook.book.plan import Group, Lasting, Plan, Station, lasting, running_order
from loftbook.desk import Desk
from loftbook.desk.expecting import children_of
from loftbook.desk.plain import as_plain
from loftbook.errors import RangeError, Refused
from loftbook.store import attempts, camps, plans

MOST_STATIONS, MOST_GROUPS, LONGEST_NAME = 20, 40, 100


@dataclass(frozen=True)
class CampPlan:
    """A camp with its plan, its children in running order, and how long it will take."""

    camp: Camp
    plan: Plan
    made: bool  # False: nobody made one, this is how it is without
    athletes: tuple[Athlete, ...]
    bibs: Mapping[UUID, str]
    lasting: Lasting


def camp_plan(desk: Desk, camp_id: UUID) -> CampPlan:
    """The plan of a camp; without one, everybody in the order of the bibs."""
    with desk.store.read() as connection:
        camp = camps.camp(connection, camp_id)
        kept = plans.plan_of(connection, camp_id)
        plan = plan_from(kept) if kept is not None else Plan()
        bibs = camps.expected(connection, camp_id)
        written = {turn.athlete for turn in attempts.attempts_of_camp(connection, camp_id)}
        there = children_of(connection, bibs, written)
    order = running_order(plan, [a.id for a in there])
    by_id = {a.id: a for a in there}
    took = lasting(plan, children=len(order), rungs=len(desk.ladder.test_rungs))
    return CampPlan(camp, plan, kept is not None, tuple(by_id[who] for who in order), bibs, took)


def keep_plan(desk: Desk, camp_id: UUID, plan: Plan) -> CampPlan:
    """Keeps a plan instead of an earlier one; raises Refused or RangeError for one that nobody can follow."""
    _check(plan)
    with desk.store.write() as connection:
        camps.camp(connection, camp_id)
        kept = as_plain(plan)
        assert isinstance(kept, dict)
        kept |= {"starts": _hour(plan.starts), "ends": _hour(plan.ends)}
        plans.keep_plan(connection, camp_id, kept, desk.clock())
    return camp_plan(desk, camp_id)


def in_groups(athletes: tuple[Athlete, ...], number: int) -> tuple[Group, ...]:
    """The children in so many groups of about the same size, in their order.

    >>> in_groups((), 3)
    ()
    """
    if not athletes:
        return ()
    number = max(1, min(number, len(athletes), MOST_GROUPS))
    size, more = divmod(len(athletes), number)
    groups, start = [], 0
    for place in range(number):
        end = start + size + (1 if place < more else 0)
        groups.append(Group(f"Group {place + 1}", tuple(a.id for a in athletes[start:end])))
        start = end
    return tuple(groups)


def plan_from(kept: Mapping[str, Any]) -> Plan:
    """The plan that a document of the book states."""
    return Plan(
        stations=tuple(Station(s["name"], s["what"], s["who"]) for s in kept["stations"]),
        groups=tuple(Group(g["name"], tuple(UUID(who) for who in g["athletes"])) for g in kept["groups"]),
        turns=kept["turns"],
        seconds_a_turn=kept["seconds_a_turn"],
        seconds_between=kept["seconds_between"],
        starts=time.fromisoformat(kept["starts"]) if kept["starts"] else None,
        ends=time.fromisoformat(kept["ends"]) if kept["ends"] else None,
    )


def _hour(value: time | None) -> str:
    return value.isoformat(timespec="minutes") if value else ""


def _check(plan: Plan) -> None:
    for what, number, least, most in (
        ("turns on each rung", plan.turns, 1, 20),
        ("seconds a turn", plan.seconds_a_turn, 5, 900),
        ("seconds between two children", plan.seconds_between, 0, 900),
    ):
        if not least <= number <= most:
            raise RangeError(f"{number} {what}", f"{least} to {most}", "correct that number")
    if len(plan.stations) > MOST_STATIONS or len(plan.groups) > MOST_GROUPS:
        raise Refused(
            f"{len(plan.stations)} stations and {len(plan.groups)} groups",
            f"at most {MOST_STATIONS} and {MOST_GROUPS}",
            "put some together",
        )
    names = [s.name for s in plan.stations] + [g.name for g in plan.groups]
    if any(not name.strip() or len(name) > LONGEST_NAME for name in names):
        raise Refused("a station or group without a name, or with a very long one", "a short name", "name it")
    if plan.starts and plan.ends and plan.ends <= plan.starts:
        raise Refused(
            f"an end at {plan.ends} for a day from {plan.starts}", "an end after the start", "check both"
        )
