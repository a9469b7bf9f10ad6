"""All camps of a book together, counted by the database: no row of one gymnast leaves it."""

from __future__ import annotations

from collections import Counter

import sqlalchemy as sa

from loftbook.insight.federation import RungOfYear
from loftbook.insight.standing import State
from loftbook.store.pairs import ORDER
from loftbook.store.schema import camp, camp_pair, standing, visit


def sizes(connection: sa.Connection) -> tuple[int, int]:
    """How many camps the book has, and how many gymnasts attended one at least."""
    camps = connection.execute(sa.select(sa.func.count()).select_from(camp)).scalar_one()
    gymnasts = sa.select(sa.func.count(visit.c.athlete.distinct()))
    return int(camps), int(connection.execute(gymnasts).scalar_one())


def latest_counts(connection: sa.Connection) -> dict[str, dict[State, int]]:
    """For each rung how many stood how, each gymnast once: at the last camp that she attended."""
    # Camps are put in order once, and each gymnast's last is the highest place among hers: no sorting of visits.
    number = sa.func.row_number().over(order_by=ORDER).label("number")
    place = sa.select(camp.c.id, number).cte("place")
    highest = sa.select(visit.c.athlete, sa.func.max(place.c.number).label("number"))
    last = highest.join(place, place.c.id == visit.c.camp).group_by(visit.c.athlete).cte("last")
    s = standing.c
    there = sa.select(place.c.id).where(place.c.number == last.c.number).scalar_subquery()
    rows = last.join(standing, sa.and_(s.athlete == last.c.athlete, s.camp == there))
    query = sa.select(s.rung, s.state, sa.func.count()).select_from(rows)
    found: dict[str, dict[State, int]] = {}
    for rung, state, count in connection.execute(query.group_by(s.rung, s.state)):
        found.setdefault(rung, {})[state] = int(count)
    return found


def counts_by_year(connection: sa.Connection) -> tuple[RungOfYear, ...]:
    """For each year and rung how many showed it and how many alone, each gymnast at each camp: from kept counts."""
    p = camp_pair.c
    query = sa.select(camp.c.starts, p.rung, sa.func.sum(p.alone), sa.func.sum(p.shown))
    query = query.join(camp, camp.c.id == p.camp).group_by(camp.c.starts, p.rung)
    alone: Counter[tuple[int, str]] = Counter()
    shown: Counter[tuple[int, str]] = Counter()
    for starts, rung, done, all_of_them in connection.execute(query):
        alone[starts.year, rung] += int(done)
        shown[starts.year, rung] += int(all_of_them)
    return tuple(RungOfYear(*key, alone[key], shown[key]) for key in sorted(shown))
