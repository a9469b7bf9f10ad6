"""From one camp to the next: how many went from which state to which, counted by the database.

A pair is one gymnast at a camp she attended and at the camp she attended before it; her
first camp is a pair with nothing before it. She attended where something other than
"absent" was written. For each rung that was tested at the later camp every pair is
counted once; where nothing was written of her, the state is `NO_RECORD`.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping
from types import MappingProxyType
from typing import Any, TypeAlias
from uuid import UUID

import sqlalchemy as sa

from loftbook.book.people import Camp
from loftbook.insight.pairing import Before, PairCounts
from loftbook.insight.standing import State
from loftbook.store.batches import batched
from loftbook.store.schema import camp, camp_pair, standing, visit

Transitions: TypeAlias = Mapping[tuple[str, State, State], int]

#: Camps in order: two of the same days by their ids, so that the order is always the same.
ORDER = (camp.c.starts, camp.c.ends, camp.c.id)
_FIRST = Before.FIRST_CAMP.value


def transitions(connection: sa.Connection, *, before: Camp | None = None) -> Transitions:
    """How many went (rung, state at the earlier camp, state at the later camp).

    Counts those whose later camp came before the camp `before` (all, if None). First
    camps are left out.
    """
    counts = _sums(connection, before)
    return MappingProxyType(
        {(rung, State(then), now): n for (rung, then, now), n in counts.items() if then != _FIRST}
    )


def pair_counts(connection: sa.Connection, *, before: Camp | None = None) -> Mapping[str, PairCounts]:
    """For each rung what all camps before this one say of it, group by group.

    The same counts as `loftbook.insight.pairing.pair_counts` makes of a whole history.
    """
    groups: dict[str, dict[Before, tuple[int, int]]] = {}
    for (rung, then, now), n in _sums(connection, before).items():
        if now.is_blank:
            continue
        alone, shown = groups.setdefault(rung, {}).get(_group(then), (0, 0))
        groups[rung][_group(then)] = (alone + n * (now is State.ALONE), shown + n)
    p = camp_pair.c
    blanks = [state for state in State if state.is_blank]
    query = sa.select(p.rung, sa.func.count(p.camp.distinct())).where(p.now.not_in(blanks)).group_by(p.rung)
    camps = {rung: int(n) for rung, n in connection.execute(_earlier(query, before))}
    return MappingProxyType({rung: PairCounts(rung, counts, camps[rung]) for rung, counts in groups.items()})


def _group(then: str) -> Before:
    if then == _FIRST:
        return Before.FIRST_CAMP
    return Before.NOT_SHOWN if State(then).is_blank else Before(then)


def _sums(connection: sa.Connection, before: Camp | None) -> dict[tuple[str, str, State], int]:
    p = camp_pair.c
    query = sa.select(p.rung, p.before, p.now, sa.func.sum(p.athletes)).group_by(p.rung, p.before, p.now)
    rows = connection.execute(_earlier(query, before))
    return {(rung, then, now): int(n) for rung, then, now, n in rows}


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
    columns = [column.name for column in camp_pair.c]
    for some in [None] if camps is None else batched(camps, 200):
        old = sa.delete(camp_pair)
        connection.execute(old if some is None else old.where(camp_pair.c.camp.in_(some)))
        connection.execute(sa.insert(camp_pair).from_select(columns, _counted(some)))


def _counted(camps: Collection[UUID] | None) -> sa.Select[Any]:
    pair, tested = _pairs(camps), _tested(camps)
    then, now = standing.alias("then"), standing.alias("now")
    nothing = sa.literal(State.NO_RECORD, standing.c.state.type)
    first = sa.literal(_FIRST, camp_pair.c.before.type)
    before = sa.case((pair.c.earlier.is_(None), first), else_=sa.func.coalesce(then.c.state, nothing))
    after = sa.func.coalesce(now.c.state, nothing).label("after_state")
    rows = pair.join(tested, tested.c.camp == pair.c.camp)
    rows = rows.outerjoin(then, _is(then, pair.c.earlier, pair.c.athlete, tested.c.rung))
    rows = rows.outerjoin(now, _is(now, pair.c.camp, pair.c.athlete, tested.c.rung))
    states = (
        sa.select(pair.c.camp, tested.c.rung, before.label("before_state"), after)
        .select_from(rows)
        .subquery()
    )
    keys = tuple(states.c)
    return sa.select(*keys, sa.func.count()).group_by(*keys)


def _pairs(camps: Collection[UUID] | None) -> sa.CTE:
    """Each attended camp of a gymnast with the one she attended before (null: none)."""
    earlier = sa.func.lag(visit.c.camp).over(partition_by=visit.c.athlete, order_by=ORDER)
    row = sa.select(visit.c.athlete, visit.c.camp, earlier.label("earlier"))
    row = row.join(camp, camp.c.id == visit.c.camp)
    if camps is not None:
        row = row.where(visit.c.athlete.in_(sa.select(visit.c.athlete).where(visit.c.camp.in_(camps))))
    ordered = row.cte("ordered")
    chosen = sa.select(ordered)
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
