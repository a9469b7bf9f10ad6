"""Who is meant by a row of a camp list: found for sure, or asked with those who come near."""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from datetime import date

from loftbook.book.people import Athlete
from loftbook.book.typed.decisions import Answers, Choice, FileDecision, answer_to, as_answered
from loftbook.book.typed.matching import SURE, Candidate, Register
from loftbook.book.typed.names import NameReading
from loftbook.book.typed.whose_row import Who, new_athlete, person_in_words
from loftbook.book.typed.words import day_in_words, fold

NEW_PEOPLE = (
    Choice("ask", "ask for each of them"),
    Choice("create", "everybody whose name resembles nobody's is new in the book"),
)


@dataclass(frozen=True)
class Hints:
    """What a camp list tells of a child beside her name, to tell two of one name apart."""

    born: date | None = None
    club: str = ""


@dataclass(frozen=True)
class Asking:
    """How a row of a camp list is settled: by which answers, from which confidence on."""

    answers: Answers = field(default_factory=dict)
    accept: float = SURE
    create: bool = False  # names that resemble nobody's are new people


def who_is_listed(
    name: NameReading, hints: Hints, register: Register, *, question: str, asking: Asking
) -> Who:
    """Who a row of a camp list is, asking under the id `question` where it cannot be told."""
    found = register.candidates(name)
    sure = [c for c in found if c.confidence >= asking.accept and c.how != "part"]
    if len(sure) == 1 and not _contradicts(sure[0].athlete, hints):
        return Who(sure[0].athlete, sure[0].confidence, _how(sure[0], name, register))
    told = [c for c in sure if _fits(c.athlete, hints)]
    if len(sure) > 1 and len(told) == 1:
        return Who(told[0].athlete, 0.93, "told from others of the name by birth date or club")
    return _asked(found, sure, name, register, question=question, asking=asking)


def new_people(unknown: int, answers: Answers) -> tuple[FileDecision, ...]:
    """The question whether all strangers of a list are new, where there are several."""
    if unknown < 2:
        return ()
    sentence = f"{unknown} names resemble nobody's in the book."
    decision = FileDecision(
        "new people", "ask", f"{sentence} Each is asked, unless you say that all are new.", None, NEW_PEOPLE
    )
    return (as_answered(decision, answers),)


def _how(found: Candidate, name: NameReading, register: Register) -> str:
    if found.how in ("as written", "without accents"):
        return "" if found.how == "as written" else "name matched without accents"
    others = sum(fold(p.name.family) == fold(found.athlete.name.family) for p in register.people.values()) - 1
    also = f"; {others} more of that family name" if others else ""
    return f"“{name.full}” matched by {found.how}{also}"


def _contradicts(athlete: Athlete, hints: Hints) -> bool:
    return bool(hints.born and athlete.born and hints.born != athlete.born)


def _fits(athlete: Athlete, hints: Hints) -> bool:
    if hints.born:
        return athlete.born == hints.born
    return bool(hints.club and athlete.club and fold(athlete.club.club) == fold(hints.club))


def _asked(
    found: tuple[Candidate, ...],
    sure: list[Candidate],
    name: NameReading,
    register: Register,
    *,
    question: str,
    asking: Asking,
) -> Who:
    near = list(sure or found)[:5]
    number = {f"is {c.athlete.id.hex[-8:]}": c for c in near}
    choices = (
        *(Choice(key, person_in_words(c.athlete, register) + _sure(c)) for key, c in number.items()),
        Choice("new", f"new in the book as “{name.full}”"),
        Choice("skip", "leave this row out"),
    )
    key = answer_to(asking.answers, question, choices)
    if not key and not near and asking.create and name.given and name.family and not name.lost:
        key = "new"
    who = Who(
        None, near[0].confidence if near else name.confidence, _question(near, sure, name), choices, key
    )
    if key in number:
        return replace(who, athlete=number[key].athlete, confidence=1.0, sentence="as you said")
    if key:
        return replace(who, sentence="as you said", left_out=key == "skip")
    return who


def _sure(found: Candidate) -> str:
    return f" ({found.how}, {found.confidence:.0%})" if found.confidence < 1 else ""


def _question(near: list[Candidate], sure: list[Candidate], name: NameReading) -> str:
    if not near:
        return f"Nobody in the book is called {name.full}. Is she new?"
    who = " or ".join(c.athlete.name.full for c in near[:3])
    if len(sure) > 1:
        born = ", ".join(day_in_words(c.athlete.born) if c.athlete.born else "?" for c in sure)
        return f"{len(sure)} people answer to {name.full} (born {born}). Which of them?"
    if sure:
        return f"{name.full} has another birth date in the book. Is she {who}?"
    if near[0].how == "part":
        return f"Only “{name.full}” is written. Is she {who}?"
    return f"Nobody in the book is called {name.full}. Is she {who}, or new?"


def as_new(name: NameReading, hints: Hints, register: Register, *, told: str) -> Athlete:
    """Somebody whom a camp list brings into the book, with the name alone.

    `told` is the list and the row, where the coach herself said that she is new.
    """
    return new_athlete(name, hints.born, register, told=told)
