"""Birth dates of a roster: in which order they are typed, and which of them can be true."""

from __future__ import annotations

import re
from dataclasses import replace
from datetime import date

from loftbook.book.typed.columns import Column, index_of
from loftbook.book.typed.dates import OrderEvidence, date_order
from loftbook.book.typed.decisions import Answers, Choice, FileDecision, RowDecision, answer_to, as_answered
from loftbook.book.typed.matching import SURE, Register
from loftbook.book.typed.roster_rows import RosterRow
from loftbook.book.typed.table import TypedTable
from loftbook.book.typed.whose_row import person_in_words
from loftbook.book.typed.words import day_in_words

YOUNGEST, OLDEST = 4.0, 30.0  # years; outside, a birth date is asked about (common practice, no source)
_ORDERS = (
    Choice("day", "day before month (03/05 is 3 May)"),
    Choice("month", "month before day (03/05 is 5 March)"),
)


def birth_order(
    table: TypedTable, columns: tuple[Column, ...], *, today: date, answers: Answers
) -> tuple[OrderEvidence, tuple[FileDecision, ...]]:
    """Whether day or month stands first in the column of birth dates; asked where nothing decides."""
    at = index_of(columns, "born")
    if at is None:
        return OrderEvidence("", 0, 0, 0, ""), ()
    evidence = date_order(table.column(at))
    asked = not evidence.order and evidence.undecided
    sure = 0.99 if evidence.day_first + evidence.month_first > 1 else 0.9
    decision = FileDecision("date order", "take", evidence.sentence, sure, _ORDERS if evidence.order else ())
    if asked:
        decision = FileDecision("date order", "ask", evidence.sentence, None, _ORDERS)
    decision = as_answered(decision, answers)
    if decision.chosen:
        evidence = replace(evidence, order="day" if decision.chosen == "day" else "month")
    short = sum(bool(re.search(r"\D\d{2}$", cell)) for cell in table.column(at) if not cell[:4].isdigit())
    if not short:
        return evidence, (decision,)
    sentence = f"Years of two digits ({short}) are read as the last hundred years up to {today.year}."
    return evidence, (decision, FileDecision("years", "take", sentence, 0.95))


def settle_birth(
    said: RosterRow,
    register: Register,
    *,
    blank: RowDecision,
    today: date,
    camp_day: date | None,
    answers: Answers,
) -> tuple[date | None, RowDecision | None]:
    """The birth date of a row, and the decision about it, if there is one.

    A decision other than "take" stops the row: a date that cannot be true is refused,
    one that is doubtful is asked. "take" is an answered question.
    """
    if said.born is None:
        return None, None
    question = replace(blank, id=f"{blank.id} born")
    if said.born.either:
        return _which(said, said.born.either, question, answers)
    day = said.born.day
    why = said.born.problem if day is None else _too_late(day, today, camp_day)
    if day is None or why:
        sentence = f"{said.name.full}: {why}; nothing of the row was taken{_namesake(said, register)}."
        return None, replace(blank, sentence=sentence)
    age = ((camp_day or today) - day).days / 365.2425
    return (day, None) if YOUNGEST <= age <= OLDEST else _odd_age(day, age, said.name.full, question, answers)


def _too_late(day: date, today: date, camp_day: date | None) -> str:
    late = "in the future" if day > today else "after the camp began" if camp_day and day > camp_day else ""
    return f"her birth date, {day_in_words(day)}, lies {late}" if late else ""


def _which(
    said: RosterRow, days: tuple[date, ...], question: RowDecision, answers: Answers
) -> tuple[date | None, RowDecision]:
    choices = tuple(Choice(day.isoformat(), day_in_words(day)) for day in days)
    key = answer_to(answers, question.id, choices)
    problem = said.born.problem if said.born else ""
    sentence = f"{said.name.full}: {problem}: {' or '.join(c.label for c in choices)}?"
    asked = replace(
        question, verdict="take" if key else "ask", sentence=sentence, choices=choices, chosen=key
    )
    return (date.fromisoformat(key) if key else None), asked


def _odd_age(
    day: date, age: float, name: str, question: RowDecision, answers: Answers
) -> tuple[date | None, RowDecision]:
    choices = (Choice("take", "take the date as typed"), Choice("leave", "take the row without a birth date"))
    key = answer_to(answers, question.id, choices)
    sentence = f"{name}: born {day_in_words(day)} makes her {age:.0f} years old. Is the date right?"
    asked = replace(
        question, verdict="take" if key else "ask", sentence=sentence, choices=choices, chosen=key
    )
    return (day if key == "take" else None), asked


def _namesake(said: RosterRow, register: Register) -> str:
    """Where else the name of a refused row stands."""
    found = [c.athlete for c in register.candidates(said.name) if c.confidence >= SURE]
    if not found:
        return ""
    where = " and ".join(person_in_words(person, register) for person in found)
    return f". The same name stands for {where}, where nothing was changed"
