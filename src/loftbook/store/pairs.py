"""From one camp to the next: how many went from which state to which, counted by the database.

A pair is one gymnast at a camp she attended and at the camp she attended before it.
She attended where something other than "absent" was written. For each rung that was
tested at the later camp every pair is counted once, so the counts of a camp and rung
add up to the number of its pairs; where nothing was written of her, the state is
`NO_RECORD`.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping
from datetime import date
from types import MappingProxyType
from typing import Any, TypeAlias
from uuid import UUID

import sqlalchemy as sa

from loftbook.insight.standing import State
from loftbook.store.batches import batched
from loftbook.store.schema import camp, camp_pair, standing

Transitions: TypeAlias = Mapping[tuple[str, State, State], int]
Pairs: TypeAlias = Mapping[tuple[str, State], tuple[int, int]]

_ATTENDED = standing.c.state != State.ABSENT


def transitions(connection: sa.Connection, *, before: UUID | None = None) -> Transitions:
    """How many pairs of camps went (rung, state at the earlier, state at the later camp).

    Counts the pairs whose later camp came before the camp `before`; all, if None.
    """
    p = camp_pair.c
    query = sa.select(p.rung, p.before, p.now, sa.func.sum(p.athletes)).group_by(p.rung, p.before, p.now)
    if before is not None:
        limit = sa.select(camp.c.starts, camp.c.ends, camp.c.id).where(camp.c.id == before)
        row = connection.execute(limit).first()
        if row is None:
            return MappingProxyType({})
        query = query.where(p.camp.in_(sa.select(camp.c.id).where(_comes_before(*row))))
    rows = connection.execute(query)
    return MappingProxyType({(rung, then, now): int(n) for rung, then, now, n in rows})


def pair_counts(connection: sa.Connection, *, before: UUID | None = None) -> Pairs:
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


def recount(connection: sa.Connection, camps: Collection[UUID] | None = None) -> None:
    """Counts the pairs of these camps anew (of all camps, if None), from the standings."""
    columns = ["camp", "rung", "before", "now", "athletes"]
    if camps is None:
        connection.execute(sa.delete(camp_pair))
        connection.execute(sa.insert(camp_pair).from_select(columns, _counted(None)))
        return
    for some in batched(camps, 200):
        connection.execute(sa.delete(camp_pair).where(camp_pair.c.camp.in_(some)))
        connection.execute(sa.insert(camp_pair).from_select(columns, _counted(some)))


def touched(connection: sa.Connection, changed: Iterable[tuple[UUID, UUID]]) -> set[UUID]:
    """The camps whose pairs change when the standings of these (camp, athlete) change.

    These are the camps themselves and, for each gymnast, the next that she attended.
    """
    changed = set(changed)
    who = {athlete for _, athlete in changed}
    order = {row.id: (row.starts, row.ends, str(row.id)) for row in connection.execute(_when())}
    attended: dict[UUID, list[UUID]] = {}
    for some in batched(who):
        query = sa.select(standing.c.athlete, standing.c.camp).where(standing.c.athlete.in_(some), _ATTENDED)
        for row in connection.execute(query.distinct()):
            attended.setdefault(row.athlete, []).append(row.camp)
    found = {camp for camp, _ in changed}
    for at, athlete in changed:
        later = [other for other in attended.get(athlete, ()) if at in order and order[other] > order[at]]
        if later:
            found.add(min(later, key=order.__getitem__))
    return found


def _when() -> sa.Select[Any]:
    return sa.select(camp.c.id, camp.c.starts, camp.c.ends)


def _comes_before(starts: date, ends: date, id: UUID) -> sa.ColumnElement[bool]:
    c = camp.c
    same_days = sa.and_(c.starts == starts, c.ends == ends)
    return sa.or_(
        c.starts < starts, sa.and_(c.starts == starts, c.ends < ends), sa.and_(same_days, c.id < id)
    )


def _counted(camps: Collection[UUID] | None) -> sa.Select[Any]:
    pair, tested = _pairs(camps), _tested(camps)
    then, now = standing.alias("then"), standing.alias("now")
    state_then = sa.func.coalesce(then.c.state, sa.literal(State.NO_RECORD, then.c.state.type))
    state_now = sa.func.coalesce(now.c.state, sa.literal(State.NO_RECORD, now.c.state.type))
    rows = pair.join(tested, tested.c.camp == pair.c.camp)
    rows = rows.outerjoin(then, _is(then, pair.c.earlier, pair.c.athlete, tested.c.rung))
    rows = rows.outerjoin(now, _is(now, pair.c.camp, pair.c.athlete, tested.c.rung))
    what = (pair.c.camp, tested.c.rung, state_then.label("state_then"), state_now.label("state_now"))
    query = sa.select(*what, sa.func.count().label("athletes")).select_from(rows)
    return query.group_by(pair.c.camp, tested.c.rung, sa.literal_column("state_then"), sa.literal_column("state_now"))


def _pairs(camps: Collection[UUID] | None) -> sa.CTE:
    """Each attended camp of a gymnast with the one she attended before."""
    s = standing.c
    attended = sa.select(s.athlete, s.camp).where(_ATTENDED).distinct()
    if camps is not None:
        attended = attended.where(s.athlete.in_(sa.select(s.athlete).where(s.camp.in_(camps))))
    visit = attended.cte("visit")
    earlier = sa.func.lag(visit.c.camp).over(
        partition_by=visit.c.athlete, order_by=(camp.c.starts, camp.c.ends, camp.c.id)
    )
    row = sa.select(visit.c.athlete, visit.c.camp, earlier.label("earlier"))
    ordered = row.select_from(visit.join(camp, camp.c.id == visit.c.camp)).cte("ordered")
    chosen = sa.select(ordered).where(ordered.c.earlier.is_not(None))
    if camps is not None:
        chosen = chosen.where(ordered.c.camp.in_(camps))
    return chosen.cte("pair")


def _tested(camps: Collection[UUID] | None) -> sa.CTE:
    query = sa.select(standing.c.camp, standing.c.rung).distinct()
    return (query if camps is None else query.where(standing.c.camp.in_(camps))).cte("tested")


def _is(
    table: sa.FromClause, camp: sa.ColumnElement[Any], athlete: sa.ColumnElement[Any], rung: sa.ColumnElement[Any]
) -> sa.ColumnElement[bool]:
    return sa.and_(table.c.camp == camp, table.c.athlete == athlete, table.c.rung == rung)
