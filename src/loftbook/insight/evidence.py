"""What lies on the table before somebody decides about a rung: seen, measured, missing, against. It concludes nothing.

A qualified person decides; her name, reason and day of review are a fact of the book
(`book.deciding`). Here the book is only laid out, so that nothing is forgotten: each point has
a name and its values, and the words for it stand with the texts of the sheets.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from uuid import UUID

from loftbook.book.attempts import Attempt
from loftbook.book.deciding import Decision, standing_decisions
from loftbook.insight.evidence_against import spoken_against
from loftbook.insight.evidence_known import Known, Point
from loftbook.insight.evidence_missing import not_known
from loftbook.insight.evidence_told import told_from_home
from loftbook.insight.standing import meets_standard
from loftbook.insight.wilson import Interval, wilson
from loftbook.ladder.graph import before
from loftbook.ladder.rungs import Ladder, Rung
from loftbook.ladder.scales import Help, Landing, Outcome, Rotation, TakeOff
from loftbook.mechanics.bands import COVERAGE


@dataclass(frozen=True)
class Seen:
    """Turns of one kind: one rung, one camp, one help, from one place onto one place."""

    rung: str
    camp: UUID
    help: Help | None
    take_off: TakeOff | None
    landing: Landing | None
    turns: int
    done: int
    met: int  # of those done, how many as the ladder asks
    short: int
    over: int
    raters: tuple[str, ...]
    first: date
    last: date

    @property
    def share(self) -> Interval:
        """Between which true rates the turns lie, by Wilson's formula."""
        return wilson(self.done, self.turns)


@dataclass(frozen=True)
class Evidence:
    """What lies on the table for one gymnast and one rung; `leading` are the rungs that come before it.

    `decisions` stand, the newest first; `corrected` were replaced by one of them.
    """

    rung: Rung
    edition: str
    leading: tuple[Rung, ...]
    seen: tuple[Seen, ...]
    told: tuple[Point, ...]  # from home
    measured: tuple[Point, ...]
    missing: tuple[Point, ...]
    against: tuple[Point, ...]
    checklist: tuple[str, ...]
    decisions: tuple[Decision, ...]
    corrected: tuple[Decision, ...]
    today: date

    @property
    def decision(self) -> Decision | None:
        """The latest that stands."""
        return self.decisions[0] if self.decisions else None


def evidence(known: Known, rung_key: str) -> Evidence:
    """Lays out what the book says for a rung that she might go on to.

    Raises UnknownThing for a rung that the ladder does not have.
    """
    rung = known.ladder.rung(rung_key)
    leading = before(known.ladder, rung_key)
    about = [one.key for one in (*leading, rung)]
    turns = [a for a in known.turns if a.rung in about and not a.outcome.is_blank]
    said = [one for one in known.decisions if one.rung == rung_key]
    standing = standing_decisions(said)
    return Evidence(
        rung=rung,
        edition=known.ladder.edition,
        leading=leading,
        seen=_seen(known, turns, about),
        told=tuple(told_from_home(known.trained, about)),
        measured=tuple(_measured(known)),
        missing=not_known(known, rung, leading=_direct(rung, leading), turns=turns),
        against=spoken_against(known, turns, about),
        checklist=rung.checklist,
        decisions=standing,
        corrected=tuple(one for one in said if one not in standing),
        today=known.today,
    )


def _direct(rung: Rung, leading: Sequence[Rung]) -> tuple[Rung, ...]:
    return tuple(one for one in leading if one.key in rung.prerequisites)


def seen_of(turns: Sequence[Attempt], ladder: Ladder) -> tuple[Seen, ...]:
    """Turns gathered by rung, camp, help and surfaces; each turn is in exactly one of them.

    `turns` were taken, on rungs of the ladder, and belong to one gymnast.
    """
    groups: dict[tuple[object, ...], list[Attempt]] = {}
    for one in turns:
        groups.setdefault((one.rung, one.camp, one.help, one.take_off, one.landing), []).append(one)
    rungs = {one.key: one for one in ladder.rungs}
    return tuple(_row(rows, rungs[rows[0].rung]) for rows in groups.values())


def _seen(known: Known, turns: Sequence[Attempt], about: Sequence[str]) -> tuple[Seen, ...]:
    """In the order of the ladder from the rung itself downwards, the latest camp first."""
    down = {key: place for place, key in enumerate(reversed(about))}
    rows = seen_of(turns, known.ladder)
    return tuple(sorted(rows, key=lambda one: (down[one.rung], -one.last.toordinal(), -(one.help or 0))))


def _row(rows: Sequence[Attempt], rung: Rung) -> Seen:
    first = rows[0]
    days = [one.at.date() for one in rows]
    return Seen(
        rung=first.rung,
        camp=first.camp,
        help=first.help,
        take_off=first.take_off,
        landing=first.landing,
        turns=len(rows),
        done=sum(one.outcome is Outcome.DID_IT for one in rows),
        met=sum(meets_standard(one, rung)[0] for one in rows),
        short=sum(one.rotation is Rotation.SHORT for one in rows),
        over=sum(one.rotation is Rotation.OVER for one in rows),
        raters=tuple(sorted({one.rater for one in rows if one.rater})),
        first=min(days),
        last=max(days),
    )


def _measured(known: Known) -> list[Point]:
    """Film first, each with the interval of 95 in 100; then standing height."""
    told = []
    for one in known.films:
        shape = one.shape.words if one.shape else ""
        values = {"shape": shape, "films": one.words, "time": f"{one.flight_time:.2f}"}
        told.append(
            Point("flight_time", values | {"off": f"{COVERAGE * one.flight_time_off:.2f}"}, on=one.on)
        )
        if one.momentum is not None:
            spin = {"value": f"{one.momentum:.2f}", "off": f"{COVERAGE * one.momentum_off:.2f}"}
            told.append(Point("momentum", values | spin, on=one.on))
    height = known.athlete.height
    if height is not None:
        told.append(Point("height", {"cm": f"{100 * height.metres:.0f}"}, on=height.on))
    return told
