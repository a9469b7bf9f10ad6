"""What the book does not say before somebody decides about a rung: each a thing that can be got or asked."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from datetime import date

from loftbook.book.attempts import Attempt
from loftbook.book.people import Athlete
from loftbook.insight.evidence_known import Known, Point
from loftbook.insight.standing import meets_standard
from loftbook.ladder.rungs import Rung

STALE = 183  # days: half a year, the usual time between two camps; common practice, no source


def not_known(
    known: Known, rung: Rung, *, leading: Sequence[Rung], turns: Sequence[Attempt]
) -> tuple[Point, ...]:
    """What is missing for one rung; `leading` come directly before it, `turns` were taken on those and below."""
    return (
        *_unseen(leading, turns),
        *_seen_little(turns, known.today),
        *_unwritten(turns),
        *_unfilmed(known),
        *_body(known.athlete, known.today),
        *_twist(known.athlete, rung),
        *([] if rung.checklist else [Point("no_checklist", {"rung": rung.short})]),
    )


def _unseen(leading: Sequence[Rung], turns: Sequence[Attempt]) -> Iterator[Point]:
    for one in leading:
        hers = [a for a in turns if a.rung == one.key]
        if not hers:
            yield Point("never_seen", {"rung": one.name})
        elif not any(meets_standard(a, one)[0] for a in hers):
            yield Point("never_met", {"rung": one.name, "turns": str(len(hers))})


def _seen_little(turns: Sequence[Attempt], today: date) -> Iterator[Point]:
    if not turns:
        return
    raters, days = {one.rater for one in turns}, {one.at.date() for one in turns}
    if len(raters) == 1:
        yield Point("one_rater", {"who": next(iter(raters))})
    if len(days) == 1:
        yield Point("one_day", {}, on=max(days))
    elif (today - max(days)).days > STALE:
        yield Point("long_ago", {"months": f"{(today - max(days)).days / 30.4:.0f}"}, on=max(days))


def _unwritten(turns: Sequence[Attempt]) -> Iterator[Point]:
    bare = sum(None in (one.help, one.take_off, one.landing) for one in turns)
    if bare:
        yield Point("unwritten", {"bare": str(bare), "turns": str(len(turns))})
    told = sum(one.rotation is not None for one in turns)
    if turns and told < len(turns):
        yield Point("no_rotation", {"bare": str(len(turns) - told), "turns": str(len(turns))})


def _unfilmed(known: Known) -> Iterator[Point]:
    if not known.films:
        yield Point("no_film" if known.may_be_filmed else "no_leave", {})


def _body(athlete: Athlete, today: date) -> Iterator[Point]:
    dated = [one.on for one in athlete.heights if one.on is not None]
    if not athlete.heights:
        yield Point("no_height", {})
    elif len(dated) < 2:
        yield Point("one_height", {})
    elif (today - max(dated)).days > STALE:
        yield Point("old_height", {}, on=max(dated))


def _twist(athlete: Athlete, rung: Rung) -> Iterator[Point]:
    twists = rung.belt or bool(rung.skill and any(rung.skill.half_twists))
    if twists and len(athlete.twists) < 2:
        yield Point("twist_side" if athlete.twists else "no_twist_side", {})
