"""What was decided while a typed list was read: values, one a decision.

Each decision says in a sentence what was found and what was made of it, how sure
that is, and what else could be chosen. A question (`verdict` "ask") holds back
only what depends on it. Answers are a mapping from a decision's id to the key of
one of its choices; the list is then simply read again.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from datetime import date
from typing import Literal
from uuid import UUID

from loftbook.book.attempts import Attempt
from loftbook.book.people import Athlete, ClubStay, FilmConsent, Height, Name, TwistNote

Verdict = Literal["take", "same", "skip", "ask", "refuse"]
Answers = Mapping[str, str]


@dataclass(frozen=True)
class BirthDate:
    """A fact of a list: the day on which somebody already in the book was born."""

    born: date


Fact = Athlete | Name | ClubStay | Height | TwistNote | FilmConsent | BirthDate | Attempt


@dataclass(frozen=True)
class Choice:
    """One answer that a question allows: its key, and what it does in words."""

    key: str
    label: str


@dataclass(frozen=True)
class FileDecision:
    """A decision about the whole list, such as its encoding or what a heading means."""

    id: str
    verdict: Verdict
    sentence: str
    confidence: float | None = None
    choices: tuple[Choice, ...] = ()
    chosen: str = ""  # the key that was answered, if any


@dataclass(frozen=True)
class RowDecision:
    """A decision about one row, or about one cell of it.

    `text` is the row as typed. `facts` are what would be written: a whole `Athlete`
    for somebody new, single facts for somebody known (they belong to `athlete`).
    """

    id: str
    row: int
    text: str
    verdict: Verdict
    sentence: str
    confidence: float | None = None
    athlete: UUID | None = None
    facts: tuple[Fact, ...] = ()
    choices: tuple[Choice, ...] = ()
    chosen: str = ""


Decision = FileDecision | RowDecision


def answer_to(answers: Answers, question: str, choices: Iterable[Choice]) -> str:
    """The key that was answered to a question, empty while there is no allowed answer.

    >>> answer_to({"row 3": "new"}, "row 3", [Choice("new", "a new person")])
    'new'
    """
    key = answers.get(question, "")
    return key if any(choice.key == key for choice in choices) else ""


def not_understood(answers: Answers, decisions: Iterable[Decision]) -> tuple[FileDecision, ...]:
    """One sentence for answers that fit no question, or name no choice of theirs.

    >>> not_understood({}, [])
    ()
    """
    known = {d.id: {choice.key for choice in d.choices} for d in decisions}
    wrong = [f"“{q}” = “{a}”" for q, a in answers.items() if a not in known.get(q, ())]
    if not wrong:
        return ()
    sentence = (
        f"Answers that were not needed: {', '.join(wrong)}. They fit no question of this reading (a list that is "
        "read again asks less), or none of its choices."
    )
    return (FileDecision("answers", "skip", sentence),)


def as_answered(decision: FileDecision, answers: Answers) -> FileDecision:
    """The decision with the answer that was given to it; "ask" becomes "take".

    >>> as_answered(FileDecision("a", "ask", "?", choices=(Choice("x", "X"),)), {"a": "x"}).verdict
    'take'
    """
    key = answer_to(answers, decision.id, decision.choices)
    if not key:
        return decision
    label = next(choice.label for choice in decision.choices if choice.key == key)
    return replace(
        decision,
        verdict="take",
        chosen=key,
        confidence=None,
        sentence=f"{decision.sentence} Answered: {label}.",
    )
