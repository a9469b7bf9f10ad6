"""A camp: who did what, the patterns, what changed, what was to be expected."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from uuid import UUID

from loftbook.book.attempts import Clash, clashes
from loftbook.book.people import Athlete, Camp
from loftbook.desk import Desk
from loftbook.desk.editions import editions
from loftbook.desk.keeping import kept
from loftbook.desk.standing import each_once, up_to_date
from loftbook.insight.change import Change, changes
from loftbook.insight.expectation import Expected, expected
from loftbook.insight.families import NeverShown, never_shown
from loftbook.insight.history import camps_before, history_of
from loftbook.insight.inventory import Inventory, inventory
from loftbook.insight.pairing import PairCounts, Today, today_counts
from loftbook.insight.standing import Standing
from loftbook.insight.twistside import TwistSides, twist_sides
from loftbook.ladder.rungs import Rung
from loftbook.store import attempts, camps, pairs, people, standings
from loftbook.store.database import Connection


@dataclass(frozen=True)
class CampAnswer:
    """A camp's page."""

    camp: Camp
    previous: Camp | None  # the last camp before at which any of them was
    athletes: Mapping[UUID, Athlete]  # in running order
    rungs: tuple[Rung, ...]  # test rungs and each other rung that was shown
    standings: tuple[Standing, ...]  # of this camp
    inventory: Inventory
    changes: tuple[Change, ...]  # against the last camp each came to
    since_first: tuple[Change, ...] | None  # against the first each came to; None: not asked for
    expected: tuple[Expected, ...]
    never_shown: tuple[NeverShown, ...]
    twist: Mapping[UUID, TwistSides]  # of those whose skills disagree
    turns: int
    clashes: tuple[Clash, ...]
    invented: bool


def camp_answer(desk: Desk, camp_id: UUID, *, since_first: bool = True) -> CampAnswer:
    """The whole of one camp, against the camps before it.

    What changed since each child's first camp is a quarter of the work, and left out where
    it is not wanted.
    """
    with up_to_date(desk) as connection:
        return kept(
            desk,
            connection,
            ("camp", camp_id, since_first),
            lambda: _worked_out(desk, connection, camp_id, since_first=since_first),
        )


def _worked_out(desk: Desk, connection: Connection, camp_id: UUID, *, since_first: bool) -> CampAnswer:
    camp = camps.camp(connection, camp_id)
    turns = attempts.attempts_of_camp(connection, camp_id)
    once = each_once(connection, turns)
    # A standing is made of turns: whoever has one here has a turn here.
    ids = {*camps.expected(connection, camp_id), *(a.athlete for a in turns)}
    athletes = people.athletes(connection, ids)
    theirs = standings.standings_of_athletes(connection, ids)
    here = tuple(s for s in theirs if s.camp == camp_id)
    history = history_of(camps.camps(connection, {camp_id, *(s.camp for s in theirs)}), theirs)
    counts = pairs.pair_counts(connection, before=camp)
    known = editions(connection, desk)
    shown = {s.rung for s in here}
    rungs = tuple(r for r in desk.ladder.rungs if r.tested or r.key in shown)
    before = camps_before(history, camp_id)
    found = changes(camp, desk.ladder, athletes=athletes, history=history, editions=known, first=since_first)
    return CampAnswer(
        camp=camp,
        previous=before[-1] if before else None,
        athletes={a.id: a for a in athletes},
        rungs=rungs,
        standings=here,
        inventory=inventory(camp, desk.ladder, athletes=athletes, standings=here),
        changes=found.since_previous,
        since_first=found.since_first if since_first else None,
        expected=_expected(rungs, today_counts(camp, athletes=athletes, history=history), counts),
        never_shown=never_shown(athletes, desk.ladder, history=history, on=camp.ends),
        twist={a.id: t for a in athletes if (t := twist_sides(a, desk.ladder)).disagree},
        turns=sum(not a.outcome.is_blank for a in once),
        clashes=clashes(turns),
        invented=camp.invented,
    )


def _expected(
    rungs: Sequence[Rung], today: Mapping[str, Today], counts: Mapping[str, PairCounts]
) -> tuple[Expected, ...]:
    return tuple(expected(r, today[r.key], pairs=counts.get(r.key)) for r in rungs if r.key in today)
