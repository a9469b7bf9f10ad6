"""Camps of another book: which of this book's they are, how they are described, who was expected, the day's plan."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from datetime import datetime
from typing import Any
from uuid import UUID

from loftbook.book.merge.who import Met, meet_camps
from loftbook.book.people import Camp
from loftbook.book.typed.words import fold
from loftbook.desk.merging.sides import Sides
from loftbook.desk.merging.told import Part, conflict_row
from loftbook.store import camps, plans, same_as
from loftbook.store.camps import CampBefore
from loftbook.store.database import Connection

#: What of a description two books may say differently, as a coach names it.
_SAID = {
    "name": "name",
    "starts": "first day",
    "ends": "last day",
    "edition": "edition",
    "place": "hall",
    "bed": "bed",
    "take_off": "take-off",
    "landing": "landing",
}


@dataclass(frozen=True)
class CampsMet:
    """Which camp of the other book is which, and what is to be written."""

    part: Part
    met: tuple[Met, ...]

    @property
    def numbers(self) -> dict[UUID, UUID]:
        """The number here of each camp of the other one that is settled."""
        return {one.there: one.here for one in self.met if one.here is not None}


@dataclass(frozen=True)
class _Camps:
    new: tuple[tuple[Camp, tuple[CampBefore, ...]], ...]
    raters: tuple[Camp, ...]  # known ones, with the raters of both books
    links: dict[UUID, UUID]


def meet_all_camps(sides: Sides, barred: frozenset[str], asked: frozenset[str]) -> CampsMet:
    """Every camp of the other book; those of a `barred` edition are left out, those of an `asked` one wait."""
    ours = camps.camps(sides.here)
    theirs = {camp.id: camp for camp in camps.camps(sides.there)}
    numbers = _numbers(sides, {camp.id for camp in ours})
    may = [camp for camp in theirs.values() if camp.edition not in barred | asked]
    met = meet_camps(may, ours, numbers, sides.answers)
    known = {camp.id: camp for camp in ours}
    new = [replace(theirs[one.there], id=one.here) for one in met if one.new and one.here]
    same = [(known[one.here], theirs[one.there]) for one in met if one.here and not one.new]
    aside = [row for here, there in same for row in _differing(sides, here, there)]
    raters = [
        replace(here, raters=both) for here, there in same if (both := _both(here, there)) != here.raters
    ]
    links = {one.there: one.here for one in met if one.here and one.there != one.here}
    old = same_as.other_camp_numbers(sides.here)
    waiting = sum(one.question is not None for one in met)
    waiting += sum(camp.edition in asked for camp in theirs.values())
    part = Part(
        "camps",
        stored=len(new) + len(raters),
        duplicate=len(same) - len(raters),
        conflict=len(aside),
        waiting=waiting,
        left_out=sum(one.left_out for one in met) + sum(c.edition in barred for c in theirs.values()),
        aside=tuple(aside),
        rows=_Camps(
            tuple((camp, camps.camp_before(sides.there, camp.id)) for camp in new),
            tuple(raters),
            {there: here for there, here in links.items() if there not in old},
        ),
    )
    return CampsMet(part, met)


def write_camps(connection: Connection, sides: Sides, met: CampsMet) -> None:
    """Writes the new camps with how they were described before, and the numbers that known ones have elsewhere."""
    rows: _Camps = met.part.rows
    for camp, before in rows.new:
        camps.add_camp(connection, camp)
        camps.add_camp_before(connection, camp.id, before)
    for camp in rows.raters:
        camps.change_camp(connection, camp, at=sides.now, by=sides.way)
    same_as.add_camp_numbers(connection, rows.links, sides.now)


def _numbers(sides: Sides, ours: set[UUID]) -> dict[UUID, UUID]:
    known = same_as.other_camp_numbers(sides.here)
    for one, at_theirs in same_as.other_camp_numbers(sides.there).items():
        mine = one if one in ours else known.get(one)
        if mine is not None and at_theirs not in ours:
            known.setdefault(at_theirs, mine)
    return known


def _both(here: Camp, there: Camp) -> tuple[str, ...]:
    return tuple(dict.fromkeys((*here.raters, *there.raters)))


def _differing(sides: Sides, here: Camp, there: Camp) -> Iterable[dict[str, Any]]:
    for name, words in _SAID.items():
        mine, other = str(getattr(here, name)), str(getattr(there, name))
        if fold(mine) != fold(other) and other:
            yield conflict_row(
                f"camp’s {words}", mine or "nothing", other, name=here.name, way=sides.way, camp=here.id
            )


@dataclass(frozen=True)
class _Expected:
    bibs: dict[UUID, dict[UUID, str]]
    plans: tuple[tuple[UUID, dict[str, Any]], ...]


def meet_expected(sides: Sides) -> Part:
    """Who was expected at each camp with which number, and the plan of the day."""
    new: dict[UUID, dict[UUID, str]] = {}
    aside: list[dict[str, Any]] = []
    kept_plans: list[tuple[UUID, dict[str, Any]]] = []
    same = waiting = 0
    for there, here in sides.camps.items():
        theirs = {sides.athletes.get(who): bib for who, bib in camps.expected(sides.there, there).items()}
        waiting += None in theirs
        ours = camps.expected(sides.here, here) if here not in sides.new_camps else {}
        for who, bib in theirs.items():
            if who is None:
                continue
            if who not in ours or (bib and not ours[who]):
                new.setdefault(here, {})[who] = bib
            elif bib and bib != ours[who]:
                aside.append(_other_bib(sides, who, here, ours[who], bib))
            else:
                same += 1
        plan = _plan(sides, there)
        mine = plans.plan_of(sides.here, here) if here not in sides.new_camps else None
        if plan is not None and mine is None:
            kept_plans.append((here, plan))
        elif plan is not None and plan != mine:
            aside.append(_other_plan(sides, here, mine or {}, plan))
    return Part(
        "expected and planned",
        stored=sum(map(len, new.values())) + len(kept_plans),
        duplicate=same,
        conflict=len(aside),
        waiting=waiting,
        aside=tuple(aside),
        rows=_Expected(new, tuple(kept_plans)),
    )


def write_expected(connection: Connection, now: datetime, part: Part) -> None:
    """Writes who else was expected, and plans where this book has none."""
    rows: _Expected = part.rows
    for camp, bibs in rows.bibs.items():
        camps.expect(connection, camp, bibs)
    for camp, plan in rows.plans:
        plans.keep_plan(connection, camp, plan, now)


def _plan(sides: Sides, camp: UUID) -> dict[str, Any] | None:
    """The other book's plan in this book's numbers; whoever is not settled is left out of her group."""
    kept = plans.plan_of(sides.there, camp)
    if kept is None:
        return None
    mine = {str(there): str(here) for there, here in sides.athletes.items()}
    groups = [
        {**group, "athletes": [mine[who] for who in group["athletes"] if who in mine]}
        for group in kept["groups"]
    ]
    return {**kept, "groups": groups}


def _other_bib(sides: Sides, who: UUID, camp: UUID, here: str, there: str) -> dict[str, Any]:
    name = sides.names.get(who, "a child")
    return conflict_row("number", here, there, name=name, way=sides.way, athlete=who, camp=camp, value=there)


def _other_plan(
    sides: Sides, camp: UUID, here: Mapping[str, Any], there: Mapping[str, Any]
) -> dict[str, Any]:
    return conflict_row(
        "plan of the day", _plan_words(here), _plan_words(there), name="the camp", way=sides.way, camp=camp
    )


def _plan_words(plan: Mapping[str, Any]) -> str:
    stations = ", ".join(one["name"] for one in plan.get("stations", ())) or "no stations"
    groups = ", ".join(f"{one['name']} ({len(one['athletes'])})" for one in plan.get("groups", ()))
    return f"{stations}; {groups or 'no groups'}; {plan.get('turns')} turns on each rung"
