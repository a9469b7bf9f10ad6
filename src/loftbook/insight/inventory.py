"""Who did what at a camp: for each rung everybody in exactly one place, and the patterns.

Everybody of the squad stands in one place on each rung: alone, with help (and
which), tried (and how it went), or in one of the blanks, nothing written being a
blank of its own. No blank is a failure, so shares are counted among those who
showed the rung, and the sentence says so.

For the test rungs together the patterns are counted instead of fitting a model:
20 to 40 gymnasts on three rungs carry none. The ladder is only roughly
cumulative. A reversal (a later test rung alone while an earlier one was shown and
not alone) is listed, never corrected; a blank makes no reversal.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from enum import Enum
from itertools import product
from uuid import UUID

from loftbook.book.people import Athlete, Camp
from loftbook.insight.standing import Standing, State, met_by_all, met_words
from loftbook.insight.wilson import Interval, wilson
from loftbook.ladder.rungs import Ladder, Rung
from loftbook.ladder.scales import Help

BLANKS = tuple(state for state in State if state.is_blank)
_WHOLE_TABLE = 4  # up to so many test rungs every pattern is listed, met or not
_TRIED_ORDER = ("short", "on", "over", "")

_Row = Mapping[UUID, Standing]


class Mark(Enum):
    """One place in a pattern: alone, shown but not alone, or not shown."""

    ALONE = "●"
    NOT_ALONE = "○"
    NOT_SHOWN = "·"

    def words(self, met: str = "alone") -> str:
        """What a coach reads; `met` says what meets the standard of that rung.

        >>> Mark.NOT_ALONE.words(), Mark.NOT_ALONE.words("as it asks (belt, slack, or less help)")
        ('shown, not alone', 'shown, not as it asks')
        """
        short = met.partition(" (")[0]
        return {"●": met, "○": f"shown, not {short}", "·": "not shown"}[self.value]


@dataclass(frozen=True)
class Helped:
    """Those who did it in one way that is not the standard; `words` says which."""

    help: Help | None  # None: help was not written down
    words: str
    athletes: tuple[UUID, ...]


@dataclass(frozen=True)
class Tried:
    """Those who took off for it and did not get there; `how` is "short", "over", … or empty."""

    how: str
    athletes: tuple[UUID, ...]


@dataclass(frozen=True)
class RungInventory:
    """One rung at one camp: everybody in exactly one place.

    `helped` goes from nobody in (on other surfaces) to a full belt, help not written
    last. `shown` counts alone, helped and tried; `share` is the 95 % interval of
    alone among shown. `met` says what "alone" is on this rung: on one that is learnt
    in the belt, in the belt.
    """

    rung: str
    alone: tuple[UUID, ...]
    helped: tuple[Helped, ...]
    tried: tuple[Tried, ...]
    blanks: Mapping[State, tuple[UUID, ...]]  # all six, some empty
    shown: int
    share: Interval
    met: str = "alone"

    @property
    def not_shown(self) -> int:
        """How many stand in one of the blanks."""
        return sum(map(len, self.blanks.values()))

    @property
    def sentence(self) -> str:
        """The count with its denominator and interval."""
        if not self.shown:
            return f"Nobody showed it ({self.not_shown} blank)."
        return (
            f"{len(self.alone)} of the {self.shown} who showed it did it {self.met} "
            f"(95 % interval {self.share.words}); {self.not_shown} did not show it and are not counted."
        )


@dataclass(frozen=True)
class Pattern:
    """One way to stand on the test rungs together, and who stands so."""

    marks: tuple[Mark, ...]  # in the order of the ladder's test rungs
    athletes: tuple[UUID, ...]
    reversal: bool

    @property
    def text(self) -> str:
        """The marks as signs, such as "● ● ○"."""
        return " ".join(mark.value for mark in self.marks)


@dataclass(frozen=True)
class Reversal:
    """A later test rung alone while an earlier one was shown and not alone."""

    athlete: UUID
    later: str  # the rung that she did alone
    earlier: str  # the rung that she showed, not alone
    words: str


@dataclass(frozen=True)
class Inventory:
    """A whole camp: the rungs in ladder order, the patterns, the reversals by athlete."""

    camp: UUID
    squad: tuple[UUID, ...]
    rungs: tuple[RungInventory, ...]
    test_rungs: tuple[str, ...]
    patterns: tuple[Pattern, ...]
    reversals: tuple[Reversal, ...]

    @property
    def met(self) -> str:
        """What meets the standard of its rungs together: "alone", or also as the rung asks."""
        return met_by_all(one.met for one in self.rungs)

    def rung(self, key: str) -> RungInventory | None:
        """The inventory of one rung; None where nothing was written on it."""
        return next((one for one in self.rungs if one.rung == key), None)


def inventory(
    camp: Camp, ladder: Ladder, *, athletes: Iterable[Athlete], standings: Iterable[Standing]
) -> Inventory:
    """Who did what at this camp, rung by rung, and the patterns over the test rungs.

    `athletes` is the squad in the order to be printed; whoever has a standing at this
    camp but is not among them is added at the end, so that nobody is lost. Standings
    of other camps are passed over. The test rungs always appear, another rung only
    where something was written on it; rungs that this ladder no longer has come last.
    """
    by_rung: dict[str, dict[UUID, Standing]] = {}
    squad = {athlete.id: None for athlete in athletes}
    for one in standings:
        if one.camp == camp.id:
            by_rung.setdefault(one.rung, {})[one.athlete] = one
            squad.setdefault(one.athlete)
    everybody = tuple(squad)
    tests = ladder.test_rungs
    keys = [rung.key for rung in ladder.rungs if rung.tested or rung.key in by_rung]
    keys += sorted(by_rung.keys() - {rung.key for rung in ladder.rungs})
    met = {rung.key: met_words(rung.standard) for rung in ladder.rungs}
    test_rows: list[_Row] = [by_rung.get(rung.key, {}) for rung in tests]
    return Inventory(
        camp=camp.id,
        squad=everybody,
        rungs=tuple(
            _on_rung(key, everybody, by_rung.get(key, {}), met=met.get(key, "alone")) for key in keys
        ),
        test_rungs=tuple(rung.key for rung in tests),
        patterns=_patterns(everybody, test_rows),
        reversals=tuple(r for who in everybody for r in _reversals(who, tests, test_rows)),
    )


def helped_words(standing: Standing) -> str:
    """How it was done when it was not alone: the help, and the surface if that was it.

    >>> from uuid import UUID
    >>> nobody = UUID(int=0)
    >>> helped_words(Standing(nobody, nobody, "r", State.HELPED, help=Help.HAND_LIGHT))
    'by hand, light'
    >>> helped_words(Standing(nobody, nobody, "r", State.HELPED, help=Help.NOBODY_IN,
    ...                       why_not_alone="onto loose pit"))
    'nobody in, onto loose pit'
    """
    if standing.help is None:
        return "help was not written down"
    words = standing.help.words
    why = standing.why_not_alone
    return words if why in ("", words) else f"{words}, {why}"


def told_words(standing: Standing) -> str:
    """Where she stood with all that is known of how, nothing said twice.

    >>> from uuid import UUID
    >>> nobody = UUID(int=0)
    >>> told_words(Standing(nobody, nobody, "r", State.HELPED, help=Help.HAND_LIGHT))
    'with help (by hand, light)'
    >>> told_words(Standing(nobody, nobody, "r", State.HELPED, help=Help.HAND))
    'with help, by hand (how much was not written)'
    >>> told_words(Standing(nobody, nobody, "r", State.ABSENT, why_not_alone="absent"))
    'absent'
    """
    if standing.state not in (State.HELPED, State.TRIED):
        return standing.words
    how = helped_words(standing) if standing.state is State.HELPED else standing.why_not_alone
    if not how:
        return standing.words
    return f"{standing.words}, {how}" if "(" in how else f"{standing.words} ({how})"


def _on_rung(key: str, squad: Sequence[UUID], row: _Row, *, met: str) -> RungInventory:
    alone: list[UUID] = []
    helped: dict[tuple[Help | None, str], list[UUID]] = {}
    tried: dict[str, list[UUID]] = {}
    blanks: dict[State, list[UUID]] = {state: [] for state in BLANKS}
    for who in squad:
        one = row.get(who)
        if one is None:
            blanks[State.NO_RECORD].append(who)
        elif one.state is State.ALONE:
            alone.append(who)
        elif one.state is State.HELPED:
            helped.setdefault((one.help, helped_words(one)), []).append(who)
        elif one.state is State.TRIED:
            tried.setdefault(one.why_not_alone, []).append(who)
        else:
            blanks[one.state].append(who)
    shown = len(squad) - sum(map(len, blanks.values()))
    return RungInventory(
        rung=key,
        alone=tuple(alone),
        helped=tuple(Helped(*how, tuple(helped[how])) for how in sorted(helped, key=_least_help_first)),
        tried=tuple(Tried(how, tuple(tried[how])) for how in sorted(tried, key=_tried_order)),
        blanks={state: tuple(whom) for state, whom in blanks.items()},
        shown=shown,
        share=wilson(len(alone), shown),
        met=met,
    )


def _least_help_first(how: tuple[Help | None, str]) -> tuple[int, str]:
    return (-(how[0] or 0), how[1])


def _tried_order(how: str) -> tuple[int, str]:
    return (_TRIED_ORDER.index(how) if how in _TRIED_ORDER else len(_TRIED_ORDER), how)


def _mark(standing: Standing | None) -> Mark:
    if standing is None or standing.state.is_blank:
        return Mark.NOT_SHOWN
    return Mark.ALONE if standing.state is State.ALONE else Mark.NOT_ALONE


def _patterns(squad: Sequence[UUID], rows: Sequence[_Row]) -> tuple[Pattern, ...]:
    if not rows:
        return ()
    met: dict[tuple[Mark, ...], list[UUID]] = {}
    for who in squad:
        met.setdefault(tuple(_mark(row.get(who)) for row in rows), []).append(who)
    whole = product((Mark.ALONE, Mark.NOT_ALONE), repeat=len(rows)) if len(rows) <= _WHOLE_TABLE else ()
    order = tuple(Mark)
    keys = sorted({*whole, *met}, key=lambda marks: (_blanks(marks), [order.index(m) for m in marks]))
    return tuple(Pattern(marks, tuple(met.get(marks, ())), _reverses(marks)) for marks in keys)


def _blanks(marks: Sequence[Mark]) -> int:
    return Counter(marks)[Mark.NOT_SHOWN]


def _reverses(marks: Sequence[Mark]) -> bool:
    return any(mark is Mark.ALONE and Mark.NOT_ALONE in marks[:place] for place, mark in enumerate(marks))


def _reversals(who: UUID, tests: Sequence[Rung], rows: Sequence[_Row]) -> Iterable[Reversal]:
    marks = [_mark(row.get(who)) for row in rows]
    for place, mark in enumerate(marks):
        for before in range(place):
            if mark is Mark.ALONE and marks[before] is Mark.NOT_ALONE:
                earlier = rows[before][who]
                how = helped_words(earlier) if earlier.state is State.HELPED else earlier.state.words
                met, asked = (met_words(tests[n].standard) for n in (place, before))
                words = (
                    f"{tests[place].name} {met}, {tests[before].name} not {asked.partition(' (')[0]} ({how})"
                )
                yield Reversal(who, tests[place].key, tests[before].key, words)
