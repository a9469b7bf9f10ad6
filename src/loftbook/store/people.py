"""The gymnasts and the coaches of the book, and what was said about them when."""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterable, Mapping
from dataclasses import dataclass
from datetime import date
from typing import Any, TypeAlias
from uuid import UUID

import sqlalchemy as sa

from loftbook.book.people import (
    Athlete,
    ClubStay,
    FilmConsent,
    Height,
    Name,
    Person,
    TwistNote,
    in_running_order,
)
from loftbook.errors import Refused, UnknownThing
from loftbook.store import schema
from loftbook.store.batches import batched, insert_all


@dataclass(frozen=True)
class Born:
    """Her day of birth, as somebody wrote it; a later one corrects an earlier one."""

    day: date


Fact: TypeAlias = Name | ClubStay | Height | TwistNote | FilmConsent | Born


def athletes(connection: sa.Connection, ids: Collection[UUID] | None = None) -> tuple[Athlete, ...]:
    """The gymnasts of these ids (all, if None), each with all her facts, in running order.

    Ids that are not in the book are left out. Seven queries for each 500 ids, whatever
    was said about them.
    """
    found: list[Athlete] = []
    for some in [None] if ids is None else batched(ids):
        heads = _rows(connection, schema.athlete, "id", some)
        facts = {kind: _facts(connection, kind, some) for kind in _KINDS}
        for row in heads:
            said = {kind: facts[kind].get(row.id, ()) for kind in _KINDS}
            found.append(
                Athlete(
                    id=row.id,
                    names=said[Name],
                    born=said[Born][-1].day if said[Born] else None,
                    clubs=said[ClubStay],
                    heights=said[Height],
                    twists=said[TwistNote],
                    consents=said[FilmConsent],
                    invented=row.invented,
                )
            )
    return in_running_order(found)


def athlete(connection: sa.Connection, athlete_id: UUID) -> Athlete:
    """The gymnast of that id; raises `UnknownThing`."""
    found = athletes(connection, [athlete_id])
    if not found:
        raise UnknownThing(
            f"no gymnast with the id {athlete_id}", "one of the book's", "look her up in the squad list"
        )
    return found[0]


def add_athletes(connection: sa.Connection, new: Iterable[Athlete]) -> None:
    """Puts new gymnasts with all their facts into the book; raises `Refused` for a known id."""
    new = tuple(new)
    for who in new:
        if not who.names:
            raise Refused("a gymnast without a name", "at least one name", "write her name down")
    insert_all(connection, schema.athlete, [{"id": who.id, "invented": who.invented} for who in new])
    for kind, (table, columns, _) in _KINDS.items():
        rows = [_row(who.id, fact, columns) for who in new for fact in _said(who, kind)]
        insert_all(connection, table, rows)


def add_facts(connection: sa.Connection, said: Mapping[UUID, Iterable[Fact]]) -> int:
    """Adds what was said about known gymnasts; what the book has already is left out.

    Returns how many facts were new, so that a list that is read twice adds nothing.
    Raises `Refused` for a gymnast who is not in the book.
    """
    known = {who.id: who for who in athletes(connection, tuple(said))}
    rows: dict[type[Fact], list[dict[str, Any]]] = {kind: [] for kind in _KINDS}
    for who, facts in said.items():
        if who not in known:
            raise Refused(
                f"a fact about a gymnast {who} who is not in the book", "a known one", "add her first"
            )
        have: set[Fact] = {fact for kind in _KINDS for fact in _said(known[who], kind)}
        for fact in facts:
            if fact not in have:
                have.add(fact)
                rows[type(fact)].append(_row(who, fact, _KINDS[type(fact)][1]))
    for kind, new in rows.items():
        insert_all(connection, _KINDS[kind][0], new)
    return sum(len(new) for new in rows.values())


def people(connection: sa.Connection) -> tuple[Person, ...]:
    """The coaches of the book, by name."""
    p = schema.person
    return tuple(
        Person(row.id, row.name, row.role) for row in connection.execute(sa.select(p).order_by(p.c.name))
    )


def add_person(connection: sa.Connection, person: Person) -> None:
    """Puts a coach into the book; raises `Refused` for a known id."""
    values = {"id": person.id, "name": person.name, "role": person.role}
    insert_all(connection, schema.person, [values])


# How each kind of fact is kept: table, column of each field, order of telling ---------


def _by_day(field: str) -> Callable[[Any], Any]:
    """Oldest first; without a day it is from the start. Sorting keeps the order of writing."""
    return lambda fact: getattr(fact, field) or date.min


def _consent_order(fact: Any) -> Any:
    """As by day; but a no without a day has the last word, to be on the safe side."""
    return (fact.on is None and not fact.allowed, fact.on or date.min)


_Kept: TypeAlias = tuple[sa.Table, tuple[tuple[str, str], ...], Callable[[Any], Any]]


def _same(*names: str) -> tuple[tuple[str, str], ...]:
    return tuple((name, name) for name in names)


_KINDS: Mapping[type[Fact], _Kept] = {
    Born: (schema.birth, (("day", "born"),), lambda _: 0),
    Name: (schema.athlete_name, _same("given", "family", "since"), _by_day("since")),
    ClubStay: (schema.club_stay, _same("club", "coach_name", "coach_email", "since"), _by_day("since")),
    Height: (schema.height, _same("metres", "on"), _by_day("on")),
    TwistNote: (schema.twist_note, _same("side", "rung", "on"), _by_day("on")),
    FilmConsent: (schema.film_consent, _same("allowed", "on", "said_by"), _consent_order),
}


def _said(who: Athlete, kind: type[Fact]) -> tuple[Fact, ...]:
    if kind is Born:
        return () if who.born is None else (Born(who.born),)
    field = {Name: "names", ClubStay: "clubs", Height: "heights", TwistNote: "twists"}.get(kind, "consents")
    said: tuple[Fact, ...] = getattr(who, field)
    return said


def _row(athlete: UUID, fact: Fact, columns: tuple[tuple[str, str], ...]) -> dict[str, Any]:
    return {"athlete": athlete} | {column: getattr(fact, field) for field, column in columns}


def _facts(
    connection: sa.Connection, kind: type[Fact], ids: Collection[UUID] | None
) -> dict[UUID, tuple[Any, ...]]:
    table, columns, order = _KINDS[kind]
    told: dict[UUID, list[Fact]] = {}
    for row in _rows(connection, table, "athlete", ids, order=table.c.seq):
        fact = kind(**{field: getattr(row, column) for field, column in columns})
        told.setdefault(row.athlete, []).append(fact)
    return {who: tuple(sorted(facts, key=order)) for who, facts in told.items()}


def _rows(
    connection: sa.Connection,
    table: sa.Table,
    column: str,
    ids: Collection[UUID] | None,
    *,
    order: sa.Column[Any] | None = None,
) -> sa.CursorResult[Any]:
    query = sa.select(table)
    if ids is not None:
        query = query.where(table.c[column].in_(ids))
    return connection.execute(query if order is None else query.order_by(order))
