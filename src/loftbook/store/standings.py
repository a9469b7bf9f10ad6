"""Where everybody stood at each camp: findings, made from attempts and kept for speed.

They may be dropped at any time: `rebuild_standings` makes them again. How standings
are made of attempts is not known here; whoever calls has worked that out. Where facts
came in faster than findings were made, `behind` names whose are to be made anew.
"""

from __future__ import annotations

import json
from collections.abc import Callable, Collection, Iterable, Iterator, Sequence
from dataclasses import fields
from functools import lru_cache
from itertools import groupby
from typing import Any, TypeAlias
from uuid import UUID

import sqlalchemy as sa
from sqlalchemy.dialects import sqlite

from loftbook.book.attempts import Attempt
from loftbook.errors import Refused
from loftbook.insight.standing import Standing
from loftbook.store.attempts import attempts_of_camp
from loftbook.store.batches import batched, insert_all
from loftbook.store.last_visits import other_last_camps, recount_last
from loftbook.store.pairs import ORDER, next_camps, pair_counts, recount
from loftbook.store.schema import behind as behind_table
from loftbook.store.schema import camp as camps
from loftbook.store.schema import camp_last, camp_pair, standing, visit
from loftbook.store.server import look_over

__all__ = [
    "behind",
    "fall_behind",
    "latest_by_athlete",
    "pair_counts",
    "rebuild_standings",
    "replace_standings",
    "standings_of_athletes",
    "standings_of_camp",
]

#: Makes the standings of one camp from its attempts in force, oldest first.
Judge: TypeAlias = Callable[[Sequence[Attempt]], Iterable[Standing]]

_FIELDS = tuple(field.name for field in fields(Standing))
_COLUMNS = tuple(standing.c[name] for name in _FIELDS)
_TOLD = _COLUMNS[2:]  # all but the gymnast and the camp
#: What makes the value of each of a column as SQLite keeps it.
_READ: tuple[Callable[[Any], Any], ...] = tuple(
    column.type.result_processor(sqlite.dialect(), None) or (lambda value: value) for column in _TOLD
)


def standings_of_camp(connection: sa.Connection, camp: UUID) -> tuple[Standing, ...]:
    """Everybody's standings at one camp."""
    s = standing.c
    return tuple(
        _standings(connection, sa.select(*_COLUMNS).where(s.camp == camp).order_by(s.athlete, s.rung))
    )


def standings_of_athletes(
    connection: sa.Connection, athletes: Collection[UUID], *, rungs: Collection[str] | None = None
) -> tuple[Standing, ...]:
    """All standings of these gymnasts (on these rungs), at all camps, the earliest camp first."""
    visits: list[tuple[Standing, ...]] = []
    for some in batched(athletes):
        which = standing.c.athlete.in_(some)
        visits += _visits(connection, which if rungs is None else which & standing.c.rung.in_(tuple(rungs)))
    place = {camp: number for number, camp in enumerate(_camps_in_order(connection))}
    visits.sort(key=lambda hers: place[hers[0].camp])
    return tuple(one for hers in visits for one in hers)


def latest_by_athlete(
    connection: sa.Connection, athletes: Collection[UUID] | None = None
) -> dict[UUID, tuple[Standing, ...]]:
    """For each gymnast (of these) her standings at the last camp that she attended."""
    found: dict[UUID, list[Standing]] = {}
    for some in [None] if athletes is None else batched(athletes):
        newest = sa.func.row_number().over(
            partition_by=visit.c.athlete, order_by=tuple(column.desc() for column in ORDER)
        )
        row = sa.select(visit.c.athlete, visit.c.camp, newest.label("number"))
        row = row.join(camps, camps.c.id == visit.c.camp)
        last = (row if some is None else row.where(visit.c.athlete.in_(some))).cte("last")
        same = sa.and_(standing.c.camp == last.c.camp, standing.c.athlete == last.c.athlete)
        query = sa.select(*_COLUMNS).join(last, same).where(last.c.number == 1)
        for one in _standings(connection, query.order_by(standing.c.athlete, standing.c.rung)):
            found.setdefault(one.athlete, []).append(one)
    return {athlete: tuple(standings) for athlete, standings in found.items()}


def replace_standings(
    connection: sa.Connection,
    camp: UUID,
    athletes: Collection[UUID] | None,
    standings: Iterable[Standing],
) -> None:
    """Keeps these standings at a camp, instead of what was kept there of these gymnasts (of all, if None).

    They are behind the facts no longer.
    """
    new = tuple(standings)
    who = {one.athlete for one in new} | set(_visitors(connection, camp) if athletes is None else athletes)
    if any(one.camp != camp for one in new) or (athletes is not None and len(who) > len(set(athletes))):
        raise Refused("a standing of another camp or gymnast", "those that are replaced", "group them first")
    for table in (standing, visit, behind_table):
        old = sa.delete(table).where(table.c.camp == camp)
        for some in [None] if athletes is None else batched(who):
            connection.execute(old if some is None else old.where(table.c.athlete.in_(some)))
    _insert(connection, new)
    recount(connection, {camp} | next_camps(connection, camp, who))
    recount_last(connection, {camp} | other_last_camps(connection, camp, who))


def fall_behind(connection: sa.Connection, pairs: Iterable[tuple[UUID, UUID]]) -> None:
    """Notes that something new is written of these (camp, gymnast) pairs, and their standings not made anew."""
    have = {*behind(connection)}
    new = [{"athlete": athlete, "camp": camp} for camp, athlete in {*pairs} - have]
    insert_all(connection, behind_table, new)


def behind(connection: sa.Connection) -> tuple[tuple[UUID, UUID], ...]:
    """The (camp, gymnast) pairs whose standings are older than what is written of her there."""
    b = behind_table.c
    return tuple((row.camp, row.athlete) for row in connection.execute(sa.select(b.camp, b.athlete)))


def rebuild_standings(connection: sa.Connection, judge: Judge) -> int:
    """Drops all standings and makes them again from the attempts in force; returns how many."""
    for table in (camp_last, camp_pair, visit, standing, behind_table):
        connection.execute(sa.delete(table))
    count = 0
    for camp in _camps_in_order(connection):
        made = tuple(judge(attempts_of_camp(connection, camp)))
        _insert(connection, made)
        count += len(made)
    recount(connection)
    recount_last(connection)
    look_over(connection)
    return count


def _insert(connection: sa.Connection, standings: Sequence[Standing]) -> None:
    insert_all(connection, standing, [dict(vars(one)) for one in standings])
    seen = dict.fromkeys((one.athlete, one.camp) for one in standings if not one.state.is_away)
    insert_all(connection, visit, [{"athlete": athlete, "camp": camp} for athlete, camp in seen])


def _visitors(connection: sa.Connection, camp: UUID) -> tuple[UUID, ...]:
    return tuple(connection.scalars(sa.select(visit.c.athlete).where(visit.c.camp == camp)))


def _camps_in_order(connection: sa.Connection) -> tuple[UUID, ...]:
    return tuple(connection.scalars(sa.select(camps.c.id).order_by(*ORDER)))


def _visits(connection: sa.Connection, which: sa.ColumnElement[bool]) -> Iterator[tuple[Standing, ...]]:
    """The standings that fit, those of one gymnast at one camp together, in the order of their rungs.

    A programme's history is some ten thousand standings, nearly all of them the same as
    when it was last read. So SQLite sends those of a visit as one text, and a text that
    was read before is not read again.
    """
    s = standing.c
    if connection.dialect.name == "sqlite":
        told = sa.func.json_group_array(sa.func.json_array(*(sa.type_coerce(c, sa.Text) for c in _TOLD)))
        query = sa.select(s.athlete, s.camp, told).where(which).group_by(s.athlete, s.camp)
        for athlete, camp, text in connection.execute(query.order_by(s.athlete, s.camp)).all():
            yield _unpacked(athlete, camp, text)
        return
    rows = _standings(connection, sa.select(*_COLUMNS).where(which).order_by(s.athlete, s.camp, s.rung))
    for _, hers in groupby(rows, key=lambda one: (one.athlete, one.camp)):
        yield tuple(hers)


@lru_cache(maxsize=4096)
def _unpacked(athlete: UUID, camp: UUID, text: str) -> tuple[Standing, ...]:
    rows: list[list[Any]] = json.loads(text)
    made = ([read(value) for read, value in zip(_READ, row, strict=True)] for row in rows)
    return tuple(sorted((Standing(athlete, camp, *told) for told in made), key=lambda one: one.rung))


def _standings(connection: sa.Connection, query: sa.Select[Any]) -> list[Standing]:
    return [Standing(*row) for row in connection.execute(query).all()]
