"""Who of another book is a child of this one, and which of its camps is one of this one's.

A number that both books have is the same child, unless her birth dates differ. Otherwise her name
and birth date tell, by the same careful matching as for a typed list: what is not
certain is asked and never guessed.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from uuid import UUID

from loftbook.book.identity import same_fact
from loftbook.book.people import Athlete, Camp
from loftbook.book.typed.decisions import Answers, Choice, FileDecision, answer_to
from loftbook.book.typed.matching import Register
from loftbook.book.typed.names import NameReading
from loftbook.book.typed.titles import span_in_words
from loftbook.book.typed.whose_row import Who, person_in_words, who_is
from loftbook.book.typed.words import fold

NEW, SKIP = "new", "skip"


@dataclass(frozen=True)
class Met:
    """What became of one child or camp of the other book.

    `here` is its number in this book, None while it is asked or where it is left out. `new` is true
    where this book has nobody of it. `renamed` and `born` say that the coach takes the other
    book's name or birth date for right.
    """

    there: UUID
    here: UUID | None
    new: bool = False
    question: FileDecision | None = None
    renamed: bool = False
    born: bool = False

    @property
    def left_out(self) -> bool:
        """True where the coach said to leave it out."""
        return self.here is None and self.question is None


def meet_athletes(
    theirs: Iterable[Athlete], register: Register, numbers: Mapping[UUID, UUID], answers: Answers
) -> tuple[Met, ...]:
    """Each child of the other book: somebody of `register`, somebody new, or a question.

    `numbers` says which numbers are known to mean somebody here. Raises nothing.
    """
    return tuple(_meet_athlete(one, register, numbers, answers) for one in theirs)


def _meet_athlete(there: Athlete, register: Register, numbers: Mapping[UUID, UUID], answers: Answers) -> Met:
    question = question_id("child", there.id)
    number = numbers.get(there.id, there.id)
    known = register.people.get(number)
    other_number = same_fact("another child of that number", str(there.id))
    if known is not None and (there.id in numbers or not _another_birth_date(known, there)):
        return Met(there.id, number)
    if known is not None:
        other = register.people.get(other_number)
        if other is not None and not _another_birth_date(other, there):
            return Met(there.id, other_number)
        if answers.get(question) == NEW:
            return Met(there.id, other_number, new=True)
        return _asked_of_one_number(there, known, register, question, answers)
    who = _by_name(there, register, question, answers)
    if who.asked:
        found = FileDecision(question, "ask", who.sentence, who.confidence, who.choices)
        return Met(there.id, None, question=found)
    if who.left_out:
        return Met(there.id, None)
    if who.athlete is None:
        return Met(there.id, there.id, new=True)
    return Met(there.id, who.athlete.id, renamed=who.renamed, born=who.corrects_birth)


def _another_birth_date(known: Athlete, there: Athlete) -> bool:
    return bool(known.born and there.born and known.born != there.born)


def _asked_of_one_number(
    there: Athlete, known: Athlete, register: Register, question: str, answers: Answers
) -> Met:
    mine = f"is {known.id.hex[-8:]}"
    choices = (
        Choice(mine, f"the same child as {person_in_words(known, register)}"),
        Choice(NEW, "another child, new in the book"),
        Choice(SKIP, "leave her and all that is hers out"),
    )
    key = answer_to(answers, question, choices)
    if key:
        return Met(there.id, known.id if key == mine else None)
    sentence = (
        f"{there.name.full}, born {there.born}, has in the other book the number of "
        f"{person_in_words(known, register)}. The same child, or two?"
    )
    return Met(there.id, None, question=FileDecision(question, "ask", sentence, choices=choices))


def _by_name(there: Athlete, register: Register, question: str, answers: Answers) -> Who:
    """By her present name, then by those that she had before."""
    first: Who | None = None
    for name in reversed(there.names):
        read = NameReading(name.given, name.family, "columns", 1.0)
        who = who_is(read, there.born, register, question=question, answers=answers)
        first = first or who
        if who.athlete is not None or who.asked or who.chosen:
            return who
    assert first is not None
    return first


def question_id(kind: str, number: UUID) -> str:
    """The id of the question about a child or a camp: the same in each reading of the other book.

    >>> question_id("child", UUID(int=18))
    'child 00000012'
    """
    return f"{kind} {number.hex[-8:]}"


def meet_camps(
    theirs: Iterable[Camp], ours: Iterable[Camp], numbers: Mapping[UUID, UUID], answers: Answers
) -> tuple[Met, ...]:
    """Each camp of the other book: one of this book, a new one, or a question.

    One of the same days, name and hall is the same camp; one of another name or hall that
    shares days is asked about.
    """
    known = {camp.id: camp for camp in ours}
    return tuple(_meet_camp(camp, known, numbers, answers) for camp in theirs)


def _meet_camp(
    there: Camp, known: Mapping[UUID, Camp], numbers: Mapping[UUID, UUID], answers: Answers
) -> Met:
    number = numbers.get(there.id, there.id)
    if number in known:
        return Met(there.id, number)
    near = [camp for camp in known.values() if camp.shares_days(there.starts, there.ends)]
    same = [camp for camp in near if _same_camp(camp, there)]
    if len(same) == 1:
        return Met(there.id, same[0].id)
    if not near:
        return Met(there.id, there.id, new=True)
    question = question_id("camp", there.id)
    choices = (
        *(Choice(f"is {camp.id.hex[-8:]}", f"the same camp as {camp_in_words(camp)}") for camp in near),
        Choice(NEW, "another camp, new in the book"),
        Choice(SKIP, "leave it and all that was written at it out"),
    )
    key = answer_to(answers, question, choices)
    if key == NEW:
        return Met(there.id, there.id, new=True)
    if key:
        return Met(there.id, next((c.id for c in near if key == f"is {c.id.hex[-8:]}"), None))
    others = "; ".join(camp_in_words(camp) for camp in near)
    sentence = f"The other book has {camp_in_words(there)}; this one has on these days {others}. The same camp, or two?"
    return Met(there.id, None, question=FileDecision(question, "ask", sentence, choices=choices))


def _same_camp(one: Camp, other: Camp) -> bool:
    days = (one.starts, one.ends) == (other.starts, other.ends)
    return (
        days
        and fold(one.name) == fold(other.name)
        and fold(one.place) == fold(other.place)
        and bool(one.place)
    )


def camp_in_words(camp: Camp) -> str:
    """A camp as a coach tells it from others."""
    place = f", {camp.place}" if camp.place else ""
    return f"“{camp.name}”, {span_in_words(camp.starts, camp.ends)}{place}"
