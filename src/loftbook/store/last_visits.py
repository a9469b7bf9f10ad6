"""How those stand whose last camp a camp was: counts kept beside the standings, camp by camp.

Each gymnast is counted at one camp, the last that she attended; so the sum over all
camps has everybody once, and a whole federation is counted without reading a standing.
Counted anew with the standings, as the pairs are.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable
from typing import Any
from uuid import UUID

import sqlalchemy as sa

from loftbook.insight.standing import State
from loftbook.store.batches import batched
from loftbook.store.pairs import ORDER, count_anew
from loftbook.store.schema import camp, camp_last, standing, visit


def last_counts(connection: sa.Connection) -> dict[str, dict[State, int]]:
    """For each rung how many stood how, each gymnast once: at the last camp that she attended."""
    c = camp_last.c
    query = sa.select(c.rung, c.state, sa.func.sum(c.gymnasts)).group_by(c.rung, c.state)
    return _by_rung(connection.execute(query))


def last_counted_anew(connection: sa.Connection) -> dict[str, dict[State, int]]:
    """The same from the standings themselves: for whoever sees some camps only, and so other last ones."""
    each = _counted(None).subquery()
    query = sa.select(each.c.rung, each.c.state, sa.func.sum(each.c.gymnasts))
    return _by_rung(connection.execute(query.group_by(each.c.rung, each.c.state)))


def other_last_camps(connection: sa.Connection, at: UUID, athletes: Iterable[UUID]) -> set[UUID]:
    """For each of these gymnasts the last camp that she attended apart from the camp `at`."""
    found: dict[UUID, UUID] = {}
    for some in batched(tuple(athletes)):
        query = sa.select(visit.c.athlete, visit.c.camp).join(camp, camp.c.id == visit.c.camp)
        query = query.where(visit.c.athlete.in_(some), visit.c.camp != at)
        found |= {row.athlete: row.camp for row in connection.execute(query.order_by(*ORDER))}
    return set(found.values())


def recount_last(connection: sa.Connection, camps: Collection[UUID] | None = None) -> None:
    """Counts at these camps (at all, if None) anew those who attended no later one."""
    count_anew(connection, camp_last, _counted, camps)


def _counted(camps: Collection[UUID] | None) -> sa.Select[Any]:
    """Camp, rung, state and how many of those who attended no later camp."""
    newest = sa.func.row_number().over(
        partition_by=visit.c.athlete, order_by=tuple(column.desc() for column in ORDER)
    )
    row = sa.select(visit.c.athlete, visit.c.camp, newest.label("number"))
    row = row.join(camp, camp.c.id == visit.c.camp)
    if camps is not None:
        row = row.where(visit.c.athlete.in_(sa.select(visit.c.athlete).where(visit.c.camp.in_(camps))))
    last = row.cte("last").c
    hers = sa.and_(standing.c.athlete == last.athlete, standing.c.camp == last.camp)
    keys = (standing.c.camp, standing.c.rung, standing.c.state)
    query = sa.select(*keys, sa.func.count().label("gymnasts")).where(hers, last.number == 1)
    return (query if camps is None else query.where(last.camp.in_(camps))).group_by(*keys)


def _by_rung(rows: Iterable[Any]) -> dict[str, dict[State, int]]:
    found: dict[str, dict[State, int]] = {}
    for rung, state, count in rows:
        found.setdefault(rung, {})[state] = int(count)
    return found
