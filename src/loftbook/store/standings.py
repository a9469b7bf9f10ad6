"""Where everybody stood at each camp: findings, made from attempts and kept for speed.

They may be dropped at any time: `rebuild_standings` makes them again. How a standing
is made of attempts is not known here; the caller gives it as `judge`.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterable, Iterator, Sequence
from dataclasses import fields
from itertools import groupby
from typing import Any, TypeAlias
from uuid import UUID

import sqlalchemy as sa

from loftbook.book.attempts import Attempt
from loftbook.insight.standing import Standing
from loftbook.store import schema
from loftbook.store.attempts import COLUMNS, attempts_of_camp, in_force
from loftbook.store.batches import batched, insert_all
from loftbook.store.pairs import recount, touched

#: Camp, athlete, rung.
Place: TypeAlias = tuple[UUID, UUID, str]
#: Makes a standing of one gymnast's attempts at one camp on one rung, oldest first.
#: None where the ladder does not know the rung.
Judge: TypeAlias = Callable[[Sequence[Attempt]], Standing | None]

_S = schema.standing
_FIELDS = tuple(field.name for field in fields(Standing))
_COLUMNS = tuple(_S.c[name] for name in _FIELDS)
_RATERS = _FIELDS.index("raters")


def standings_of_camp(connection: sa.Connection, camp: UUID) -> tuple[Standing, ...]:
    """Everybody's standings at one camp."""
    query = sa.select(*_COLUMNS).where(_S.c.camp == camp).order_by(_S.c.athlete, _S.c.rung)
    return tuple(_standings(connection, query))


def standings_of_athletes(
    connection: sa.Connection, athletes: Collection[UUID], *, rungs: Collection[str] | None = None
) -> tuple[Standing, ...]:
    """All standings of these gymnasts (on these rungs), at all camps, the earliest camp first."""
    camp = schema.camp
    query = sa.select(*_COLUMNS).join(camp, camp.c.id == _S.c.camp)
    if rungs is not None:
        query = query.where(_S.c.rung.in_(rungs))
    query = query.order_by(camp.c.starts, camp.c.ends, camp.c.id, _S.c.athlete, _S.c.rung)
    if len(athletes) <= 500:
        return tuple(_standings(connection, query.where(_S.c.athlete.in_(tuple(athletes)))))
    found: list[Standing] = []
    for some in batched(athletes):
        found += _standings(connection, query.where(_S.c.athlete.in_(some)))
    order = {id: place for place, id in enumerate(_camps_in_order(connection))}
    return tuple(sorted(found, key=lambda s: order[s.camp]))


def put_standings(
    connection: sa.Connection, standings: Iterable[Standing], *, gone: Iterable[Place] = ()
) -> None:
    """Keeps these standings instead of what was kept at their places; drops those at `gone`."""
    new = {(s.camp, s.athlete, s.rung): s for s in standings}
    places = new.keys() | set(gone)
    if not places:
        return
    s = _S.c
    here = sa.and_(
        s.camp == sa.bindparam("c"), s.athlete == sa.bindparam("a"), s.rung == sa.bindparam("r")
    )
    old = [{"c": camp, "a": athlete, "r": rung} for camp, athlete, rung in places]
    connection.execute(sa.delete(_S).where(here), old)
    insert_all(connection, _S, [_row(standing) for standing in new.values()])
    recount(connection, touched(connection, {(camp, athlete) for camp, athlete, _ in places}))


def refresh_standings(
    connection: sa.Connection, attempts: Iterable[Attempt], judge: Judge
) -> tuple[Standing, ...]:
    """Judges anew wherever these attempts were made; returns the standings there.

    Give the attempts that were just written or withdrawn, and those that they replace.
    """
    camps: dict[UUID, set[tuple[UUID, str]]] = {}
    for attempt in attempts:
        camps.setdefault(attempt.camp, set()).add((attempt.athlete, attempt.rung))
    found: list[Standing] = []
    gone: list[Place] = []
    for camp, places in camps.items():
        rows: dict[tuple[UUID, str], list[Attempt]] = {place: [] for place in places}
        for attempt in attempts_of_camp(connection, camp, {athlete for athlete, _ in places}):
            if (attempt.athlete, attempt.rung) in rows:
                rows[attempt.athlete, attempt.rung].append(attempt)
        for (athlete, rung), turns in rows.items():
            made = judge(turns) if turns else None
            if made is None:
                gone.append((camp, athlete, rung))
            else:
                found.append(made)
    put_standings(connection, found, gone=gone)
    return tuple(found)


def rebuild_standings(connection: sa.Connection, judge: Judge) -> int:
    """Drops all standings and makes them again from the attempts in force; returns how many."""
    connection.execute(sa.delete(schema.camp_pair))
    connection.execute(sa.delete(_S))
    count = 0
    for camp in _camps_in_order(connection):
        made = [standing for turns in _turns(connection, camp) if (standing := judge(turns)) is not None]
        insert_all(connection, _S, [_row(standing) for standing in made])
        count += len(made)
    recount(connection)
    return count


def _turns(connection: sa.Connection, camp: UUID) -> Iterator[list[Attempt]]:
    """The attempts of a camp, gymnast by gymnast and rung by rung, oldest first."""
    a = schema.attempt.c
    query = sa.select(*COLUMNS).where(a.camp == camp, in_force()).order_by(a.athlete, a.rung, a.at, a.id)
    rows = (Attempt(*row) for row in connection.execute(query).all())
    for _, turns in groupby(rows, key=lambda attempt: (attempt.athlete, attempt.rung)):
        yield list(turns)


def _camps_in_order(connection: sa.Connection) -> tuple[UUID, ...]:
    c = schema.camp.c
    return tuple(connection.scalars(sa.select(c.id).order_by(c.starts, c.ends, c.id)))


def _standings(connection: sa.Connection, query: sa.Select[Any]) -> Iterator[Standing]:
    for row in connection.execute(query):
        yield Standing(*row[:_RATERS], tuple(row[_RATERS]), *row[_RATERS + 1 :])


def _row(standing: Standing) -> dict[str, Any]:
    return {name: getattr(standing, name) for name in _FIELDS} | {"raters": list(standing.raters)}
