"""All camps of a book together, counted by the database: no row of one gymnast leaves it."""

from __future__ import annotations

import sqlalchemy as sa

from loftbook.insight.federation import RungOfYear
from loftbook.store.schema import camp, camp_pair, visit


def sizes(connection: sa.Connection) -> tuple[int, int]:
    """How many camps the book has, and how many gymnasts attended one at least."""
    camps = connection.execute(sa.select(sa.func.count()).select_from(camp)).scalar_one()
    gymnasts = sa.select(visit.c.athlete).distinct().subquery()
    count = connection.execute(sa.select(sa.func.count()).select_from(gymnasts)).scalar_one()
    return int(camps), int(count)


def counts_by_year(connection: sa.Connection) -> tuple[RungOfYear, ...]:
    """For each year and rung how many showed it and how many alone, each gymnast at each camp: from kept counts."""
    p = camp_pair.c
    year = sa.extract("year", camp.c.starts)
    # Camp by camp first, as they lie in the table: the year is then worked out a quarter as often.
    sums = sa.func.sum(p.alone).label("alone"), sa.func.sum(p.shown).label("shown")
    each = sa.select(p.camp, p.rung, *sums).group_by(p.camp, p.rung).subquery().c
    query = sa.select(year, each.rung, sa.func.sum(each.alone), sa.func.sum(each.shown))
    query = query.join(camp, camp.c.id == each.camp).group_by(year, each.rung)
    rows = connection.execute(query.order_by(year, each.rung))
    return tuple(RungOfYear(int(when), rung, int(alone), int(shown)) for when, rung, alone, shown in rows)
