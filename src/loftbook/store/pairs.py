"""From one camp to the next: how many went from which state to which, counted by the database.

A pair is one gymnast at a camp she attended and at the camp she attended before it.
She attended where something other than "absent" was written. For each rung that was
tested at the later camp every pair is counted once, so the counts of a camp and rung
add up to the number of its pairs; where nothing was written of her, the state is
`NO_RECORD`.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping
from types import MappingProxyType
from typing import Any, TypeAlias
from uuid import UUID

import sqlalchemy as sa

from loftbook.book.people import Camp
from loftbook.insight.standing import State
from loftbook.store.batches import batched
from loftbook.store.schema import camp, camp_pair, standing, visit

Transitions: TypeAlias = Mapping[tuple[str, State, State], int]
Pairs: TypeAlias = Mapping[tuple[str, State], tuple[int, int]]

#: Camps in order: two of the same days by their ids, so that the order is always the same.
ORDER = (camp.c.starts, camp.c.ends, camp.c.id)


def transitions(connection: sa.Connection, *, before: Camp | None = None) -> Transitions:
    """How many pairs of camps went (rung, state at the earlier, state at the later camp).

    Counts the pairs whose later camp came before the camp `before`; all, if None.
    """
    p = camp_pair.c
    query = sa.select(p.rung, p.before, p.now, sa.func.sum(p.athletes)).group_by(p.rung, p.before, p.now)
    if before is not None:
        earlier = sa.tuple_(*ORDER) < sa.tuple_(*_place(before))
        query = query.where(p.camp.in_(sa.select(camp.c.id).where(earlier)))
    rows = connection.execute(query)
    return MappingProxyType({(rung, then, now): int(n) for rung, then, now, n in rows})


def pair_counts(connection: sa.Connection, *, before: Camp | None = None) -> Pairs:
    """How often who stood so on a rung was alone on it at her next camp, and how often not.

    Maps (rung, state at the earlier camp) to (alone, not alone) at the later one, over
    the same pairs as `transitions`. Every blank at the later camp counts as not alone:
    the numbers tell how long the list of those who did it alone was.
    """
    counts: dict[tuple[str, State], tuple[int, int]] = {}
    for (rung, then, now), n in transitions(connection, before=before).items():
        alone, other = counts.get((rung, then), (0, 0))
        counts[rung, then] = (alone + n, other) if now is State.ALONE else (alone, other + n)
    return MappingProxyType(counts)


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
    columns = [column.name for column in camp_pair.c]
    for some in [None] if camps is None else batched(camps, 200):
        old = sa.delete(camp_pair)
        connection.execute(old if some is None else old.where(camp_pair.c.camp.in_(some)))
        connection.execute(sa.insert(camp_pair).from_select(columns, _counted(some)))


def _place(one: Camp) -> tuple[sa.BindParameter[Any], ...]:
    values = (one.starts, one.ends, one.id)
    return tuple(sa.literal(value, column.type) for value, column in zip(values, ORDER, strict=True))


def _counted(camps: Collection[UUID] | None) -> sa.Select[Any]:
    pair, tested = _pairs(camps), _tested(camps)
    then, now = standing.alias("then"), standing.alias("now")
    nothing = sa.literal(State.NO_RECORD, standing.c.state.type)
    before = sa.func.coalesce(then.c.state, nothing).label("before_state")
    after = sa.func.coalesce(now.c.state, nothing).label("after_state")
    rows = pair.join(tested, tested.c.camp == pair.c.camp)
    rows = rows.outerjoin(then, _is(then, pair.c.earlier, pair.c.athlete, tested.c.rung))
    rows = rows.outerjoin(now, _is(now, pair.c.camp, pair.c.athlete, tested.c.rung))
    states = sa.select(pair.c.camp, tested.c.rung, before, after).select_from(rows).subquery()
    keys = tuple(states.c)
    return sa.select(*keys, sa.func.count()).group_by(*keys)


def _pairs(camps: Collection[UUID] | None) -> sa.CTE:
    """Each attended camp of a gymnast with the one she attended before."""
    earlier = sa.func.lag(visit.c.camp).over(partition_by=visit.c.athlete, order_by=ORDER)
    row = sa.select(visit.c.athlete, visit.c.camp, earlier.label("earlier"))
    row = row.join(camp, camp.c.id == visit.c.camp)
    if camps is not None:
        row = row.where(visit.c.athlete.in_(sa.select(visit.c.athlete).where(visit.c.camp.in_(camps))))
    ordered = row.cte("ordered")
    chosen = sa.select(ordered).where(ordered.c.earlier.is_not(None))
    return (chosen if camps is None else chosen.where(ordered.c.camp.in_(camps))).cte("pair")


def _tested(camps: Collection[UUID] | None) -> sa.CTE:
    query = sa.select(standing.c.camp, standing.c.rung).distinct()
    return (query if camps is None else query.where(standing.c.camp.in_(camps))).cte("tested")


def _is(
    table: sa.FromClause,
    camp: sa.ColumnElement[Any],
    athlete: sa.ColumnElement[Any],
    rung: sa.ColumnElement[Any],
) -> sa.ColumnElement[bool]:
    return sa.and_(table.c.camp == camp, table.c.athlete == athlete, table.c.rung == rung)
