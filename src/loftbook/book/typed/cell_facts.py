"""From the marks of one child on one rung to attempts, beside what the book has of them.

Each attempt's number is made from camp, child, rung, turn and meaning, so that the
same list always gives the same numbers. What the book already says, in the same or
in more detail, is not said again; what it says otherwise is asked about.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import UTC, datetime, time, timedelta
from uuid import UUID

from loftbook.book.attempts import Attempt
from loftbook.book.identity import same_fact
from loftbook.book.people import Camp
from loftbook.book.typed.decisions import Answers, Choice, answer_to
from loftbook.book.typed.marks import Meaning
from loftbook.book.typed.words import fold, shortened
from loftbook.ladder.scales import Help, Landing, TakeOff


@dataclass(frozen=True)
class Station:
    """Where and by whom the marks of a list were made: what every attempt of it shares."""

    camp: Camp
    rater: str
    take_off: TakeOff | None
    landing: Landing | None


@dataclass(frozen=True)
class CellOutcome:
    """What became of the marks of one child on one rung."""

    attempts: tuple[Attempt, ...] = ()
    same: bool = False
    sentence: str = ""  # why it is asked, or what was answered
    choices: tuple[Choice, ...] = ()
    chosen: str = ""


def attempts_of(
    turns: Sequence[Meaning], *, station: Station, athlete: UUID, rung: str, source: str, again: int = 0
) -> tuple[Attempt, ...]:
    """One attempt a turn, a second apart from noon of the camp's first day, so that their order is kept.

    `again` is the row in which a child stands a second time: its turns come after those
    of her first row, and have numbers of their own.
    """
    noon = datetime.combine(station.camp.starts, time(12), tzinfo=UTC)
    return tuple(
        Attempt(
            id=same_fact("list attempt", str(station.camp.id), str(athlete), rung, str(turn), meaning.key),
            camp=station.camp.id,
            athlete=athlete,
            rung=rung,
            outcome=meaning.outcome,
            at=noon + timedelta(seconds=turn),
            rater=station.rater,
            edition=station.camp.edition,
            help=meaning.help,
            take_off=None if meaning.outcome.is_blank else station.take_off,
            landing=None if meaning.outcome.is_blank else station.landing,
            rotation=meaning.rotation,
            source=source,
        )
        for turn, meaning in enumerate(turns, start=100 * again)
    )


def with_notes(attempts: Sequence[Attempt], notes: Sequence[str]) -> tuple[Attempt, ...]:
    """The attempts with the comments on their cells; a comment is part of what was said, and so of the number."""
    return tuple(
        replace(a, id=same_fact("list attempt", str(a.id), note), note=note) if note else a
        for a, note in zip(attempts, notes, strict=True)
    )


def against_the_book(
    typed: Sequence[Attempt],
    held: Sequence[Attempt],
    ever: frozenset[UUID],
    *,
    question: str,
    answers: Answers,
) -> CellOutcome:
    """What of the typed attempts is new, given those in force (`held`) and all numbers ever written."""
    known = {a.id for a in held} | {a.replaces for a in held if a.replaces} | ever
    fresh = tuple(a for a in typed if a.id not in known and not any(_says(h, a) for h in held))
    if not fresh:
        return CellOutcome(same=True)
    if not held:
        return CellOutcome(fresh)
    return _differing(fresh, held, question=question, answers=answers)


def in_words(attempts: Sequence[Attempt]) -> str:
    """Attempts as a coach reads them.

    >>> in_words([])
    ''
    """
    return "; then ".join(
        Meaning(a.outcome, a.help, a.rotation).brief
        + (f" (note: “{shortened(a.note, 80)}”)" if a.note else "")
        for a in attempts
    )


def _differing(
    fresh: tuple[Attempt, ...], held: Sequence[Attempt], *, question: str, answers: Answers
) -> CellOutcome:
    choices = [Choice("keep", "keep what the book has"), Choice("add", "add it as one more turn")]
    if len(held) == len(fresh) == 1:
        choices.insert(1, Choice("correct", "the list is right: correct the book"))
    key = answer_to(answers, question, choices)
    sentence = (
        f"the list says {in_words(fresh)}; the book says {in_words(held)} ({held[0].source or 'entered'})"
    )
    written: tuple[Attempt, ...] = ()
    if key == "correct":
        written = (replace(fresh[0], replaces=held[0].id),)
    elif key == "add":
        written = fresh
    return CellOutcome(written, sentence=sentence, choices=tuple(choices), chosen=key)


def _says(held: Attempt, typed: Attempt) -> bool:
    """True when the book says the same, or the same in more detail."""
    if held.outcome is not typed.outcome or fold(typed.note) not in fold(held.note):
        return False
    if typed.rotation is not None and held.rotation is not typed.rotation:
        return False
    if typed.help in (None, held.help):
        return True
    kind = (
        typed.help in (Help.BELT, Help.HAND) and held.help is not None and held.help // 10 == typed.help // 10
    )
    return bool(kind)
