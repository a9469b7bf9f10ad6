"""The camps, and who was expected at each with which number."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import dataclass, fields
from datetime import date, datetime
from typing import Any
from uuid import UUID

import sqlalchemy as sa

from loftbook.book.people import Camp
from loftbook.errors import Refused, UnknownThing
from loftbook.store import schema
from loftbook.store.batches import batched, insert_all
from loftbook.store.last_visits import recount_last
from loftbook.store.pairs import ORDER, recount

_ASSUMED = schema.camp.c.surfaces_assumed
_COLUMNS = tuple(
    schema.camp.c[field.name]
    if field.name != "surfaces_assumed"
    else sa.func.coalesce(_ASSUMED, sa.literal(value=False, type_=_ASSUMED.type)).label(field.name)
    for field in fields(Camp)
)


@dataclass(frozen=True)
class CampBefore:
    """How a camp was described until somebody put it right: what of it was otherwise, as plain values."""

    was: Mapping[str, Any]
    until: datetime
    by: str


def camps(connection: sa.Connection, ids: Collection[UUID] | None = None) -> tuple[Camp, ...]:
    """All camps (or those of the ids), the earliest first."""
    if ids is None:
        rows = connection.execute(sa.select(*_COLUMNS).order_by(*ORDER)).all()
        return tuple(Camp(*row) for row in rows)
    found: list[Camp] = []
    for some in batched(ids):
        rows = connection.execute(sa.select(*_COLUMNS).where(schema.camp.c.id.in_(some))).all()
        found += [Camp(*row) for row in rows]
    return tuple(sorted(found, key=lambda camp: camp.place_in_time))


def camp(connection: sa.Connection, camp_id: UUID) -> Camp:
    """The camp of that id; raises `UnknownThing`."""
    found = camps(connection, [camp_id])
    if not found:
        raise UnknownThing(
            f"no camp with the id {camp_id}", "one of the book's", "look it up in the list of camps"
        )
    return found[0]


def last_camp(connection: sa.Connection) -> Camp | None:
    """The latest camp, None in a book without one."""
    query = sa.select(*_COLUMNS).order_by(*(column.desc() for column in ORDER)).limit(1)
    row = connection.execute(query).first()
    return None if row is None else Camp(*row)


def add_camp(connection: sa.Connection, camp: Camp) -> None:
    """Puts a camp into the book; raises `Refused` for a known id or an end before the start."""
    _check(camp)
    insert_all(connection, schema.camp, [dict(vars(camp))])


def change_camp(connection: sa.Connection, camp: Camp, *, at: datetime, by: str = "") -> bool:
    """Describes a known camp anew (name, days, place, surfaces, raters); results stay.

    What stood there before is kept beside it (`camp_before`), with the time and who put
    it right. Returns False where nothing is otherwise, and then keeps nothing.
    """
    _check(camp)
    known = camps(connection, [camp.id])
    if not known:
        raise UnknownThing(f"no camp with the id {camp.id}", "one of the book's", "add it first")
    was = {key: value for key, value in vars(known[0]).items() if value != getattr(camp, key)}
    if not was:
        return False
    table = schema.camp
    connection.execute(sa.update(table).where(table.c.id == camp.id).values(**dict(vars(camp))))
    row = {"camp": camp.id, "was": {key: _plain(value) for key, value in was.items()}, "until": at, "by": by}
    insert_all(connection, schema.camp_before, [row])
    if {"starts", "ends"} & was.keys():
        recount(connection)  # another camp may come before it now
        recount_last(connection)
    return True


def camp_before(connection: sa.Connection, camp: UUID) -> tuple[CampBefore, ...]:
    """How a camp was described before it was put right, the oldest first; empty where it never was."""
    table = schema.camp_before
    query = sa.select(table.c.was, table.c.until, table.c.by).where(table.c.camp == camp)
    return tuple(CampBefore(*row) for row in connection.execute(query.order_by(table.c.seq)))


def add_camp_before(connection: sa.Connection, camp: UUID, before: Collection[CampBefore]) -> None:
    """Writes how a camp of another book was described there before it was put right."""
    insert_all(connection, schema.camp_before, [dict(vars(one)) | {"camp": camp} for one in before])


def _plain(value: Any) -> Any:
    return (
        value.isoformat() if isinstance(value, date) else list(value) if isinstance(value, tuple) else value
    )


def expect(connection: sa.Connection, camp: UUID, bibs: Mapping[UUID, str]) -> int:
    """Writes who is expected at a camp, each with her number (empty: none was given).

    A known one gets the new number, unless that is empty. Returns how many lines are
    new or changed.
    """
    have = expected(connection, camp)
    new = {who: bib for who, bib in bibs.items() if who not in have or (bib and bib != have[who])}
    table = schema.camp_athlete
    for some in batched(tuple(new)):
        connection.execute(sa.delete(table).where(table.c.camp == camp, table.c.athlete.in_(some)))
    insert_all(connection, table, [{"camp": camp, "athlete": who, "bib": bib} for who, bib in new.items()])
    return len(new)


def expect_no_more(connection: sa.Connection, camp: UUID, athletes: Collection[UUID]) -> int:
    """Takes these off the list of who is expected at a camp; their results stay. Returns how many went."""
    table, gone = schema.camp_athlete, 0
    for some in batched(athletes):
        query = sa.delete(table).where(table.c.camp == camp, table.c.athlete.in_(some))
        gone += connection.execute(query).rowcount
    return gone


def expected(connection: sa.Connection, camp: UUID) -> dict[UUID, str]:
    """Who was expected at a camp, with her number (empty: none was given)."""
    table = schema.camp_athlete
    rows = connection.execute(sa.select(table.c.athlete, table.c.bib).where(table.c.camp == camp))
    return {row.athlete: row.bib for row in rows}


def camps_of(connection: sa.Connection, athletes: Collection[UUID]) -> dict[UUID, tuple[Camp, ...]]:
    """For each of these gymnasts the camps where she was expected or stands, earliest first."""
    seen: dict[UUID, set[UUID]] = {who: set() for who in athletes}
    for some in batched(athletes):
        for table in (schema.camp_athlete, schema.standing):
            query = sa.select(table.c.athlete, table.c.camp).where(table.c.athlete.in_(some)).distinct()
            for row in connection.execute(query):
                seen[row.athlete].add(row.camp)
    known = camps(connection, tuple(set().union(*seen.values())))
    return {who: tuple(camp for camp in known if camp.id in ids) for who, ids in seen.items()}


def _check(camp: Camp) -> None:
    if camp.ends < camp.starts:
        raise Refused(
            f"a camp that ends on {camp.ends} and starts on {camp.starts}",
            "an end on or after the start",
            "check both days",
        )
