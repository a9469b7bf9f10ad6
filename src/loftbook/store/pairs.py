"""From one camp to the next: who was alone, by where she stood before, counted by the database.

A pair is one gymnast at a camp where she showed a rung, and at the camp she attended
before it; her first camp is a pair with nothing before it. She attended where something
other than "absent" was written.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterable, Mapping
from types import MappingProxyType
from typing import Any
from uuid import UUID

import sqlalchemy as sa

from loftbook.book.people import Camp
from loftbook.insight.pairing import Before, PairCounts
from loftbook.insight.standing import State
from loftbook.store.batches import batched
from loftbook.store.schema import camp, camp_pair, standing, visit

#: Camps in order: two of the same days by their ids, so that the order is always the same.
ORDER = (camp.c.starts, camp.c.ends, camp.c.id)

_SHOWN = (State.ALONE, State.HELPED, State.TRIED)


def pair_counts(connection: sa.Connection, *, before: Camp | None = None) -> Mapping[str, PairCounts]:
    """For each rung what all camps before this one (all camps, if None) say of it, group by group.

    The same counts as `loftbook.insight.pairing.pair_counts` makes of a whole history.
    """
    p = camp_pair.c
    counts: dict[str, dict[Before, tuple[int, int]]] = {}
    sums = sa.select(p.rung, p.before, sa.func.sum(p.alone), sa.func.sum(p.shown))
    for rung, group, alone, shown in connection.execute(_earlier(sums, before).group_by(p.rung, p.before)):
        counts.setdefault(rung, {})[group] = (int(alone), int(shown))
    each = _earlier(sa.select(p.rung, p.camp).distinct(), before).subquery().c
    query = sa.select(each.rung, sa.func.count()).group_by(each.rung)
    camps = {rung: int(n) for rung, n in connection.execute(query)}
    return MappingProxyType({rung: PairCounts(rung, groups, camps[rung]) for rung, groups in counts.items()})


def _earlier(query: sa.Select[Any], before: Camp | None) -> sa.Select[Any]:
    if before is None:
        return query
    values = zip((before.starts, before.ends, before.id), ORDER, strict=True)
    limit = sa.tuple_(*(sa.literal(value, column.type) for value, column in values))
    return query.where(camp_pair.c.camp.in_(sa.select(camp.c.id).where(sa.tuple_(*ORDER) < limit)))


def next_camps(connection: sa.Connection, at: UUID, athletes: Iterable[UUID]) -> set[UUID]:
    """For each of these gymnasts the first camp that she attended after the camp `at`."""
    here = connection.execute(sa.select(*ORDER).where(camp.c.id == at)).one()
    after = sa.tuple_(*ORDER) > sa.tuple_(*(sa.literal(v, c.type) for v, c in zip(here, ORDER, strict=True)))
    found: dict[UUID, UUID] = {}
    for some in batched(tuple(athletes)):
        query = sa.select(visit.c.athlete, visit.c.camp).join(camp, camp.c.id == visit.c.camp)
        for row in connection.execute(query.where(visit.c.athlete.in_(some), after).order_by(*ORDER)):
            found.setdefault(row.athlete, row.camp)
    return set(found.values())


def recount(connection: sa.Connection, camps: Collection[UUID] | None = None) -> None:
    """Counts the pairs of these camps anew (of all camps, if None), from standings and visits."""
    count_anew(connection, camp_pair, _counted, camps)


def count_anew(
    connection: sa.Connection,
    table: sa.Table,
    counted: Callable[[Collection[UUID] | None], sa.Select[Any]],
    camps: Collection[UUID] | None,
) -> None:
    """Throws away what a table counts at these camps (at all, if None) and counts it again."""
    columns = [column.name for column in table.c]
    for some in [None] if camps is None else batched(camps, 200):
        old = sa.delete(table)
        connection.execute(old if some is None else old.where(table.c.camp.in_(some)))
        connection.execute(sa.insert(table).from_select(columns, counted(some)))


def _counted(camps: Collection[UUID] | None) -> sa.Select[Any]:
    """Who showed which rung at these camps, in groups by her camp before: alone, and all."""
    pair = _pairs(camps)
    now, then = standing.alias("now"), standing.alias("then")
    rows = pair.join(now, sa.and_(now.c.camp == pair.c.camp, now.c.athlete == pair.c.athlete))
    same = sa.and_(then.c.camp == pair.c.earlier, then.c.athlete == pair.c.athlete, then.c.rung == now.c.rung)
    kind = camp_pair.c.before.type
    group = sa.case(
        (pair.c.earlier.is_(None), sa.literal(Before.FIRST_CAMP, kind)),
        *((then.c.state == state, sa.literal(Before(state.value), kind)) for state in _SHOWN),
        else_=sa.literal(Before.NOT_SHOWN, kind),
    )
    alone = sa.case((now.c.state == State.ALONE, 1), else_=0)
    found = sa.select(pair.c.camp, now.c.rung, group.label("group"), alone.label("alone"))
    found = found.select_from(rows.outerjoin(then, same)).where(now.c.state.in_(_SHOWN))
    each = found.subquery()
    keys = (each.c.camp, each.c.rung, each.c.group)
    return sa.select(*keys, sa.func.sum(each.c.alone), sa.func.count()).group_by(*keys)


def _pairs(camps: Collection[UUID] | None) -> sa.CTE:
    """Each attended camp of a gymnast with the one she attended before (null: none)."""
    earlier = sa.func.lag(visit.c.camp).over(partition_by=visit.c.athlete, order_by=ORDER)
    row = sa.select(visit.c.athlete, visit.c.camp, earlier.label("earlier"))
    row = row.join(camp, camp.c.id == visit.c.camp)
    if camps is None:
        return row.cte("pair")
    row = row.where(visit.c.athlete.in_(sa.select(visit.c.athlete).where(visit.c.camp.in_(camps))))
    ordered = row.cte("ordered")
    return sa.select(ordered).where(ordered.c.camp.in_(camps)).cte("pair")
