"""What speaks against a rung, as far as the book says it: each with its day, none of them a verdict.

Skills lost, two ways of twisting, turns that came round short, fast growth, and whatever was
written of stopping, pain or fear. What nobody wrote down is not here: silence is no all-clear.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from datetime import date
from math import sqrt

from loftbook.book.answering import HomeAnswer
from loftbook.book.attempts import Attempt
from loftbook.book.people import Athlete, Height
from loftbook.insight.change_kind import ChangeKind
from loftbook.insight.evidence_known import Known, Point
from loftbook.insight.margin import HEIGHT_OFF
from loftbook.insight.twistside import twist_sides
from loftbook.ladder.rungs import Ladder
from loftbook.ladder.scales import Outcome, Rotation
from loftbook.mechanics.bands import COVERAGE

# m a year: the mean peak of growth in competitive girls, 13 to 13.5 years (a cohort of 2005: 6.2 to 6.4 cm)
FAST = 0.062
LEAST_APART = 0.25  # years between two heights: nearer ones tell more of the ruler than of the child
_STOPS = (Outcome.STOPPED, Outcome.DECLINED, Outcome.NOT_ALLOWED)
# Words by which a note is quoted. Whole words only; which ones is our own choice, no source.
_PAIN = re.compile(
    r"\b(pain(s|ful)?|sore(ness)?|hurt\w*|ach(e|es|ing)|injur\w*|strain\w*|sprain\w*|modified|fear\w*|afraid|scared|frightened"
    r"|frozen?|lost)\b",
    re.IGNORECASE,
)


def spoken_against(known: Known, turns: Sequence[Attempt], about: Sequence[str]) -> tuple[Point, ...]:
    """Everything in the book that speaks against, the most telling kind first.

    `turns` were taken on the rungs in `about`; what was lost or stopped counts on whatever
    rung it was, because trouble with one skill spreads to others.
    """
    return (
        *_lost(known),
        *_twisting(known.athlete, known.ladder),
        *_short(turns, known.ladder, about),
        *growing(known.athlete.heights),
        *_stops(known.turns, known.ladder),
        *_quoted(known.turns, known.ladder),
        *_from_home(known.trained),
    )


def growing(heights: Sequence[Height]) -> Iterator[Point]:
    """Growth between the last two heights that are far enough apart, where it may be as fast as at the peak.

    The band holds 95 in 100 for two standing heights of `HEIGHT_OFF` each.

    >>> from datetime import date
    >>> slow = Height(1.400, date(2025, 4, 1)), Height(1.420, date(2026, 4, 1))
    >>> fast = Height(1.400, date(2025, 4, 1)), Height(1.470, date(2026, 4, 1))
    >>> [list(growing(slow)), [point.values["rate"] for point in growing(fast)]]
    [[], ['7.0']]
    """
    dated = sorted(((one.on, one.metres) for one in heights if one.on is not None), reverse=True)
    for on, metres in dated[1:]:
        last_on, last = dated[0]
        years = (last_on - on).days / 365.2425
        if years < LEAST_APART:
            continue
        rate, off = (last - metres) / years, COVERAGE * sqrt(2) * HEIGHT_OFF / years
        if rate + off >= FAST:
            kind = "growth" if rate >= FAST else "growth_maybe"
            told = {"rate": rate, "least": max(0.0, rate - off), "most": rate + off}
            values = {key: f"{100 * value:.1f}" for key, value in told.items()}
            spell = {"grew": f"{100 * (last - metres):.1f}", "months": f"{12 * years:.0f}"}
            yield Point(kind, values | spell, on=last_on)
        return


def _name(ladder: Ladder, key: str) -> str:
    return next((one.short for one in ladder.rungs if one.key == key), key.replace("_", " "))


def _lost(known: Known) -> Iterator[Point]:
    for one in known.changes:
        if one.kind is ChangeKind.NOT_NOW:
            camp = known.camps.get(one.now.camp)
            values = {"rung": _name(known.ladder, one.rung), "why": one.why}
            yield Point("lost", values, on=camp.ends if camp else None)


def _twisting(athlete: Athlete, ladder: Ladder) -> Iterator[Point]:
    sides = twist_sides(athlete, ladder)
    if sides.one_side is False:
        yield Point("two_way", {"sentence": sides.sentence})


def _short(turns: Sequence[Attempt], ladder: Ladder, about: Sequence[str]) -> Iterator[Point]:
    for key in reversed(about):
        hers = [one for one in turns if one.rung == key]
        short = [one for one in hers if one.rotation is Rotation.SHORT]
        if short:
            values = {"rung": _name(ladder, key), "short": str(len(short)), "turns": str(len(hers))}
            yield Point("short", values, on=max(one.at.date() for one in short))


def _stops(turns: Sequence[Attempt], ladder: Ladder) -> Iterator[Point]:
    for one in sorted(turns, key=lambda a: a.at, reverse=True):
        if one.outcome in _STOPS:
            values = {"rung": _name(ladder, one.rung), "what": one.outcome.words, "by": one.rater}
            yield Point("stop", values, on=_day(one))


def _quoted(turns: Sequence[Attempt], ladder: Ladder) -> Iterator[Point]:
    for one in sorted(turns, key=lambda a: a.at, reverse=True):
        if _PAIN.search(one.note):
            values = {"rung": _name(ladder, one.rung), "note": one.note.strip(), "by": one.rater}
            yield Point("note", values, on=_day(one))


def _from_home(answers: Sequence[HomeAnswer]) -> Iterator[Point]:
    for answer in answers:
        texts = [(item.title, words) for item in answer.items for words in (item.problems, item.what)]
        for title, words in (*texts, ("", answer.more)):
            if _PAIN.search(words):
                values = {"title": title, "note": words, "by": answer.by}
                yield Point("home" if title else "home_more", values, on=answer.written.date())


def _day(turn: Attempt) -> date:
    return turn.at.date()
