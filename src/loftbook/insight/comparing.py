"""What differs between two showings of one rung besides the gymnast: bed, surface, edition, rater."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from enum import Enum
from typing import NamedTuple

from loftbook.book.people import Camp
from loftbook.insight.inventory import helped_words
from loftbook.insight.standing import Standing, State
from loftbook.ladder.rungs import Ladder, Standard
from loftbook.ladder.scales import Help, TakeOff

Editions = Mapping[str, Ladder]  # each known edition of the ladder, by its name


class Circumstance(Enum):
    """What was not the same; the value is its name in a sentence."""

    BED = "another bed"
    TAKE_OFF = "another take-off"
    LANDING = "another landing"
    EDITION = "another edition"
    RATER = "another rater"


SURFACES = frozenset({Circumstance.BED, Circumstance.TAKE_OFF, Circumstance.LANDING})


@dataclass(frozen=True)
class Difference:
    """One circumstance that was not the same, and how: `words` names then and now."""

    kind: Circumstance
    words: str


class Showing(NamedTuple):  # there are thousands of them, and a tuple is made in a third of the time
    """A standing and the camp where it was seen."""

    camp: Camp
    standing: Standing


def differences(then: Showing, now: Showing, editions: Editions) -> tuple[Difference, ...]:
    """What was not the same at two camps, as far as it was written down.

    What is not written at either camp is not called different. A bed counts where both
    took off from a trampoline, and where both camps name theirs. Two editions count as
    one for this rung when both ladders are in `editions` and ask the same of the rung.
    Raters differ when both camps name some and nobody marked at both.
    """
    found: list[Difference | None] = [
        _bed(then, now),
        _take_off(then.standing, now.standing),
        _landing(then.standing, now.standing),
        _edition(then.standing, now.standing, editions),
        _rater(then.standing, now.standing),
    ]
    return tuple(one for one in found if one is not None)


def _bed(then: Showing, now: Showing) -> Difference | None:
    springy = (None, TakeOff.TRAMPOLINE)
    if then.standing.take_off not in springy or now.standing.take_off not in springy:
        return None
    old, new = then.camp.bed.strip(), now.camp.bed.strip()
    if not old or not new or old.casefold() == new.casefold():
        return None
    return Difference(Circumstance.BED, f"{Circumstance.BED.value} ({old} then, {new} now)")


def _take_off(then: Standing, now: Standing) -> Difference | None:
    old, new = then.take_off, now.take_off
    if old is None or new is None or old is new:
        return None
    return Difference(
        Circumstance.TAKE_OFF, f"{Circumstance.TAKE_OFF.value} ({old.words} then, {new.words} now)"
    )


def _landing(then: Standing, now: Standing) -> Difference | None:
    old, new = then.landing, now.landing
    if old is None or new is None or old is new:
        return None
    return Difference(
        Circumstance.LANDING, f"{Circumstance.LANDING.value} ({old.words} then, {new.words} now)"
    )


def _edition(then: Standing, now: Standing, editions: Editions) -> Difference | None:
    old, new = then.edition, now.edition
    if not old or not new or old == new:
        return None
    asked, asks = _standard(editions, old, now.rung), _standard(editions, new, now.rung)
    if asked is not None and asked == asks:
        return None
    return Difference(Circumstance.EDITION, f"{Circumstance.EDITION.value} ({old} then, {new} now)")


def _standard(editions: Editions, edition: str, key: str) -> Standard | None:
    ladder = editions.get(edition)
    if ladder is None:
        return None
    return next((rung.standard for rung in ladder.rungs if rung.key == key), None)


def _rater(then: Standing, now: Standing) -> Difference | None:
    old, new = then.raters, now.raters
    if not old or not new or set(old) & set(new):
        return None
    names = f"({' and '.join(old)} then, {' and '.join(new)} now)"
    return Difference(Circumstance.RATER, f"{Circumstance.RATER.value} {names}")


def in_doubt(standing: Standing, standard: Standard | None) -> bool:
    """Whether she did it, but what was not written down may have made it alone.

    A belt is a belt wherever she landed; but with help or a surface not written, and
    nothing else against the standard, nobody can say.
    """
    if standing.state is not State.HELPED:
        return False
    if standard is None:
        return None in (standing.help, standing.take_off, standing.landing)
    if standing.help is not None and standing.help < standard.help:
        return False
    pairs = ((standing.take_off, standard.take_offs), (standing.landing, standard.landings))
    asked = [(was, allowed) for was, allowed in pairs if allowed]
    if any(was is not None and was not in allowed for was, allowed in asked):
        return False
    return standing.help is None or any(was is None for was, _ in asked)


def more_help(standing: Standing, than: Standing) -> bool:
    """Whether she was helped here, and more than there: seen, whoever judges and by which edition.

    True for a belt here and nobody in there. A degree that was not written ("belt")
    says nothing against another degree of the same kind.
    """
    if standing.state is not State.HELPED or standing.help is None or than.help is None:
        return False
    return _compare(standing.help, than.help) == -1


def _compare(one: Help, other: Help) -> int | None:
    """-1 for more help, 0 for as much, 1 for less; None where the degree was not written."""
    kinds = (one // 10, other // 10)
    if kinds[0] == kinds[1] and one != other and (one % 10 == 0 or other % 10 == 0) and kinds[0] in (1, 2):
        return None
    return (one > other) - (one < other)


def learning_words(then: Standing, now: Standing, *, at: str) -> str:
    """What changed on the way, for a rung that is still being learnt; `at` names the camp before.

    Says facts in order (belt to by hand, short to over) and judges nothing.
    """
    if then.state is State.HELPED and now.state is State.HELPED:
        return _help_words(then, now, at)
    if then.state.is_blank:
        return f"{shown_words(now)} now; {then.state.words} at {at}"
    if then.state is State.TRIED and now.state is State.TRIED and shown_words(then) == shown_words(now):
        return f"{shown_words(now)}, at {at} and now"
    return f"{shown_words(then)} at {at}; {shown_words(now)} now"


def _help_words(then: Standing, now: Standing, at: str) -> str:
    old, new = helped_words(then), helped_words(now)
    if then.help is None or now.help is None:
        return f"{old} at {at}; {new} now"
    way = _compare(now.help, then.help)
    if way is None:
        return f"{old} at {at}; {new} now: which is less help was not written"
    if way == 0:
        return f"with the same help at {at} and now ({new})" if old == new else f"{old} at {at}; {new} now"
    return f"{'less' if way == 1 else 'more'} help than at {at}: {old} then, {new} now"


def shown_words(standing: Standing) -> str:
    """A standing in a few words: "alone", "by hand, light", "tried, not yet (short)", "not tried".

    A rung that asks for a belt and was done in one is "as it asks (belt, slack)", never "alone".
    """
    if standing.state is State.HELPED:
        return helped_words(standing)
    if standing.state is State.TRIED and standing.why_not_alone:
        return f"{standing.state.words} ({standing.why_not_alone})"
    return standing.words
