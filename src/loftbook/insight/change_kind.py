"""What a change is called: the table from "then" and "now" to new, held, back again, and so on.

"Then" is her standing at the earlier camp that we compare with, "now" the one at the
camp in hand. "Had it" is the last camp before now where she did it alone.

What she met now is a fact of today: circumstances are told beside it. What she did
not meet now may be due to the bed, the landing, the edition or the rater and not to
her: there the answer is "cannot tell". Help that was seen (a belt now, nobody in then)
needs no judgement, so another edition or rater does not blur it; another bed or surface
does, because it can be the reason for the belt. None of this takes anything from her.

Whatever was then:

    now              kind            why
    ---------------  --------------  ------------------------------------------------
    any, first camp  first camp      no earlier camp of the book at which she was
    blank            cannot tell     which blank, and where she last had it
    in doubt         cannot tell     what was not written down

Alone now:

    then             had it earlier  kind            what is told beside it
    ---------------  --------------  --------------  --------------------------------
    alone            any             held            bed, surfaces, edition, rater
    helped           no              new             bed, surfaces, edition, rater
    helped           yes             back again      the same
    tried            no              new             bed, surfaces, rater
    tried            yes             back again      the same
    blank            no              new             (the reason says: not shown then)
    blank            yes             back again      (the same)
    tried, by another edition        cannot tell     the old "tried" may be a new "did it"
    helped no more than now, by      cannot tell     the same
      another edition
    in doubt         any             cannot tell     it may have been alone then too

Helped or tried now:

    had it  differs from where she had it      kind            told beside
    ------  ---------------------------------  --------------  --------------------------
    no      anything                           still learning  all of it; how help changed
    yes     nothing                            not now
    yes     bed, take-off or landing           cannot tell
    yes     edition or rater, more help now    not now         edition, rater
    yes     edition or rater, otherwise        cannot tell

*In doubt*: did it, but with help or a surface not written down and nothing else against
the standard. *Had it earlier* (alone now): at a camp before "then". *New*: at no camp up
to "then"; where an earlier camp is in doubt that is told beside it. Two editions that
ask the same of the rung are one edition. Where the lines are drawn is our own
reasoning; no source.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from enum import Enum
from functools import cached_property

from loftbook.book.people import Camp
from loftbook.insight.comparing import (
    SURFACES,
    Circumstance,
    Difference,
    Editions,
    Showing,
    differences,
    in_doubt,
    learning_words,
    more_help,
    shown_words,
)
from loftbook.insight.standing import Standing, State
from loftbook.ladder.rungs import Standard


class ChangeKind(Enum):
    """What became of a rung since an earlier camp; the value is what a coach reads."""

    NEW = "new"
    HELD = "held"
    BACK_AGAIN = "back again"
    NOT_NOW = "not now"
    CANNOT_TELL = "cannot tell"
    STILL_LEARNING = "still learning"
    FIRST_CAMP = "first camp"


@dataclass(frozen=True)
class Comparison:
    """One gymnast on one rung now, with all her earlier camps, and which of them to compare with."""

    now: Showing
    camps: Sequence[Camp]  # those she attended before, in order
    seen: Sequence[Standing | None]  # her standing at each of them; None: nothing was written
    place: int  # which of them is "then"; without any it says nothing
    there: bool  # whether she attended this camp
    standard: Standard | None  # what the rung asks now; None: the ladder no longer has it
    editions: Editions

    def showing(self, place: int) -> Showing:
        """What she showed at one of the earlier camps."""
        camp, one = self.camps[place], self.seen[place]
        now = self.now.standing
        return Showing(camp, one or Standing(now.athlete, camp.id, now.rung, State.NO_RECORD))

    @cached_property
    def then(self) -> Showing | None:
        """The camp to compare with; None at her first camp."""
        return self.showing(self.place) if self.camps else None

    @cached_property
    def had(self) -> int | None:
        """The place of the last camp before now where she did it alone."""
        return self.last_alone(len(self.seen))

    def last_alone(self, end: int) -> int | None:
        """The place of the last camp before place `end` where she did it alone."""
        for place in range(end - 1, -1, -1):
            one = self.seen[place]
            if one is not None and one.state is State.ALONE:
                return place
        return None


@dataclass(frozen=True)
class Answer:
    """What the change is called, why, and what is to be told beside it."""

    kind: ChangeKind
    why: str
    caveats: tuple[str, ...] = ()


def answer(case: Comparison) -> Answer:
    """What this change is called, by the table above."""
    now, then, had = case.now.standing, case.then, case.had
    if then is None and case.there:
        return Answer(ChangeKind.FIRST_CAMP, f"her first camp in this book: {shown_words(now)}")
    if now.state.is_blank or then is None:
        return Answer(ChangeKind.CANNOT_TELL, _story(case, had))
    if in_doubt(now, case.standard):
        return Answer(ChangeKind.CANNOT_TELL, f"did it now, but {_unwritten(case.now)}")
    if now.state is State.ALONE:
        return _has_it(case, then)
    if had is not None:
        return _had_it(case, had)
    gaps = () if then.standing.state.is_blank else differences(then, case.now, case.editions)
    why = learning_words(then.standing, now, at=camp_words(then.camp))
    return Answer(ChangeKind.STILL_LEARNING, why, _words(gaps))


def camp_words(camp: Camp) -> str:
    """A camp's name with its year, so that two spring camps are told apart.

    >>> from datetime import date
    >>> from uuid import UUID
    >>> camp_words(Camp(UUID(int=1), "Spring camp", date(2025, 4, 12), date(2025, 4, 13), "1"))
    'Spring camp 2025'
    """
    year = str(camp.starts.year)
    return camp.name if year in camp.name else f"{camp.name} {year}".strip()


def _has_it(case: Comparison, then: Showing) -> Answer:
    """Alone now: held, new, back again, or nobody can say because "then" had another yardstick."""
    before = then.standing
    gaps = () if before.state.is_blank else differences(then, case.now, case.editions)
    if before.state is State.ALONE:
        return Answer(ChangeKind.HELD, _held_words(then, case.now), _words(gaps))
    if in_doubt(before, case.standard):
        here = shown_words(case.now.standing)
        why = f"{here} now; did it at {camp_words(then.camp)} too, but {_unwritten(then)}"
        return Answer(ChangeKind.CANNOT_TELL, why)
    edition = [gap for gap in gaps if gap.kind is Circumstance.EDITION]
    if edition and not more_help(before, case.now.standing):
        return Answer(ChangeKind.CANNOT_TELL, f"{_story(case, case.place)}, but by {edition[0].words}")
    had = case.last_alone(case.place)
    if had is not None:
        return Answer(ChangeKind.BACK_AGAIN, _story(case, had, case.place), _words(gaps))
    return Answer(ChangeKind.NEW, _story(case, case.place, _first_alone(case)), _words(gaps) + _doubts(case))


def _had_it(case: Comparison, place: int) -> Answer:
    """Alone at some camp before, shown but not alone now: not now, unless something else may be why."""
    had = case.showing(place)
    gaps = differences(had, case.now, case.editions)
    seen = more_help(case.now.standing, had.standing)
    blurring = [gap for gap in gaps if gap.kind in SURFACES or not seen]
    story = _story(case, case.place, place)
    if blurring:
        why = f"{story}, but with {' and '.join(_words(blurring))}"
        return Answer(ChangeKind.CANNOT_TELL, why)
    return Answer(ChangeKind.NOT_NOW, story, _words(gaps))


def _held_words(then: Showing, now: Showing) -> str:
    old, new, camp = shown_words(then.standing), shown_words(now.standing), camp_words(then.camp)
    return f"{new} at {camp} and now" if old == new else f"{old} at {camp}; {new} now"


def _first_alone(case: Comparison) -> int | None:
    alone = (place for place, one in enumerate(case.seen) if one is not None and one.state is State.ALONE)
    return next(alone, None)


def _doubts(case: Comparison) -> tuple[str, ...]:
    """The camps before "then" at which it may have been alone already."""
    doubts = [case.showing(n) for n in range(case.place) if _doubted(case, n)]
    return tuple(f"did it at {camp_words(one.camp)}, but {_unwritten(one)}" for one in doubts)


def _doubted(case: Comparison, place: int) -> bool:
    one = case.seen[place]
    return one is not None and in_doubt(one, case.standard)


def _story(case: Comparison, *places: int | None) -> str:
    """What she showed at these places, in the order of the camps, then now."""
    told = [case.showing(n) for n in sorted({n for n in places if n is not None})]
    parts = [f"{shown_words(one.standing)} at {camp_words(one.camp)}" for one in told]
    today = shown_words(case.now.standing)
    return "; ".join([*parts, today if today.endswith(" today") else f"{today} now"])


def _unwritten(showing: Showing) -> str:
    """What kept it from counting as alone, for a showing that is in doubt."""
    if showing.standing.help is None:
        return "help was not written down"
    return showing.standing.why_not_alone or "not everything was written down"


def _words(gaps: Iterable[Difference]) -> tuple[str, ...]:
    return tuple(gap.words for gap in gaps)
