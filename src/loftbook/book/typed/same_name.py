"""Rows of a camp list that share a child or a name: further turns, somebody else, or held until it is told.

Two rows of one name may be one child twice or two children. While that is asked, no
row of the name gives a fact, unless its club or birth date says who it is.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace

from loftbook.book.people import Athlete
from loftbook.book.typed.decisions import Answers, Choice, RowDecision, Verdict, answer_to
from loftbook.book.typed.listed import Hints, contradict
from loftbook.book.typed.names import NameReading
from loftbook.book.typed.words import fold_name

_AGAIN = (
    Choice("turns", "her further turns: add them"),
    Choice("new", "another child with this name, new in the book"),
    Choice("skip", "leave this row out"),
)


@dataclass(frozen=True)
class Told:
    """What a row said of the child that it was taken for.

    `confirmed` is true where club, birth date or the coach tell that it is she;
    `choices` are what else the coach can say of the row.
    """

    number: int
    name: str  # its words in order
    marks: tuple[str, ...]
    hints: Hints
    confirmed: bool
    choices: tuple[Choice, ...]


def name_key(name: NameReading) -> str:
    """A name in the form in which rows of one name are found, whatever the order of its words.

    >>> name_key(NameReading("Ayla", "Aalto", "comma", 1.0))
    'aalto ayla'
    """
    return " ".join(sorted(fold_name(name.full).split()))


def again(row: Told, before: Told, athlete: Athlete, blank: RowDecision, answers: Answers) -> RowDecision:
    """The decision about a row whose child stands in an earlier row; one that says the same is passed over."""
    question = replace(blank, id=f"{blank.id} again", choices=_AGAIN, chosen="", confidence=None)
    differs = contradict(row.hints, before.hints)
    if row.marks == before.marks and not differs:
        sentence = f"{athlete.name.full}: the same as row {before.number}, passed over."
        return replace(question, id=blank.id, verdict="skip", sentence=sentence, choices=())
    key = answer_to(answers, question.id, _AGAIN)
    how = f"with another {differs}" if differs else "with other marks"
    sentence = f"{athlete.name.full} stands in row {before.number} already, {how}. "
    sentence += "Are these further turns, or is it another child?"
    verdict: Verdict = "ask" if not key else "skip" if key == "skip" else "take"
    return replace(question, verdict=verdict, sentence=sentence, chosen=key)


def held_until_told(
    decisions: Iterable[RowDecision], told: Mapping[int, Told], open_names: Mapping[str, int]
) -> list[RowDecision]:
    """The decisions, those without facts that hang on the open question of another row.

    `open_names` are the names of rows that are asked about as a whole, with the row.
    """
    decided = list(decisions)
    waits = {d.athlete: d.row for d in reversed(decided) if d.verdict == "ask" and d.id.endswith(" again")}
    return [_held(d, told.get(d.row), waits.get(d.athlete), open_names) for d in decided]


def _held(
    decision: RowDecision, told: Told | None, again_in: int | None, open_names: Mapping[str, int]
) -> RowDecision:
    if told is None or decision.verdict != "take" or not decision.facts:
        return decision
    waits_for = again_in or (None if told.confirmed else open_names.get(told.name))
    if not waits_for or waits_for == decision.row:
        return decision
    sentence = f"Row {waits_for} has this name too and is asked about: settle that row first"
    sentence += ", or say who this one is. " if told.choices else ". "
    choices = told.choices or decision.choices
    return replace(
        decision, verdict="ask", facts=(), sentence=f"{sentence}{decision.sentence}", choices=choices
    )
