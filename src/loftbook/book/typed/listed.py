"""Who is meant by a row of a camp list: found for sure, or asked with those who come near."""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from datetime import date

from loftbook.book.people import Athlete, ClubStay
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
    asked = _asked(sure or list(found), name, hints, register, question=question, asking=asking)
    if sure and asked.chosen:
        return asked
    if len(sure) == 1 and not _contradicts(sure[0].athlete, hints):
        return Who(sure[0].athlete, sure[0].confidence, _how(sure[0], name, register))
    told = [c for c in sure if confirms(c.athlete, hints)]
    if len(sure) > 1 and len(told) == 1:
        return Who(told[0].athlete, 0.93, "told from others of the name by birth date or club")
    return asked


def who_else(athlete: Athlete, name: NameReading, register: Register) -> tuple[Choice, ...]:
    """What a coach can say of a row that was taken for somebody."""
    return _choices({f"is {athlete.id.hex[-8:]}": Candidate(athlete, 1.0, "")}, name, register)


def contradict(one: Hints, other: Hints) -> str:
    """What two rows say differently of one child, empty where they agree or are silent.

    >>> contradict(Hints(club="Harbour"), Hints(club="North")), contradict(Hints(club="Harbour"), Hints())
    ('club', '')
    """
    if one.born and other.born:
        return "birth date" if one.born != other.born else ""
    return "club" if one.club and other.club and not _same_club(one.club, other.club) else ""


def confirms(athlete: Athlete, hints: Hints) -> bool:
    """True where birth date or club of a row say that it is she."""
    if hints.born:
        return athlete.born == hints.born
    return bool(hints.club) and any(_same_club(stay.club, hints.club) for stay in athlete.clubs)


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


def _contradicts(athlete: Athlete, hints: Hints) -> str:
    """What of a row speaks against its being her; a club where she ever was does not."""
    if hints.born and athlete.born:
        return "birth date" if hints.born != athlete.born else ""
    clubs = [stay.club for stay in athlete.clubs if stay.club]
    return "club" if hints.club and clubs and not any(_same_club(c, hints.club) for c in clubs) else ""


def _same_club(one: str, other: str) -> bool:
    """Clubs are often shortened: “Harbour” is “Harbour Gymnastics”."""
    words = [set(fold(club).split()) for club in (one, other)]
    return bool(words[0] and words[1]) and (words[0] <= words[1] or words[1] <= words[0])


def _asked(
    found: list[Candidate],
    name: NameReading,
    hints: Hints,
    register: Register,
    *,
    question: str,
    asking: Asking,
) -> Who:
    near = found[:5]
    sure = [c for c in near if c.confidence >= asking.accept and c.how != "part"]
    number = {f"is {c.athlete.id.hex[-8:]}": c for c in near}
    choices = _choices(number, name, register)
    key = answer_to(asking.answers, question, choices)
    if not key and not near and asking.create and name.given and name.family and not name.lost:
        key = "new"
    sentence = _question(near, sure, name, hints)
    who = Who(None, near[0].confidence if near else name.confidence, sentence, choices, key)
    if key in number:
        return replace(who, athlete=number[key].athlete, confidence=1.0, sentence="as you said")
    if key:
        return replace(who, sentence="as you said", left_out=key == "skip")
    return who


def _choices(number: dict[str, Candidate], name: NameReading, register: Register) -> tuple[Choice, ...]:
    return (
        *(Choice(key, person_in_words(c.athlete, register) + _sure(c)) for key, c in number.items()),
        Choice("new", f"new in the book as “{name.full}”"),
        Choice("skip", "leave this row out"),
    )


def _sure(found: Candidate) -> str:
    return f" ({found.how}, {found.confidence:.0%})" if found.confidence < 1 else ""


def _question(near: list[Candidate], sure: list[Candidate], name: NameReading, hints: Hints) -> str:
    if not near:
        return f"Nobody in the book is called {name.full}. Is she new?"
    who = " or ".join(c.athlete.name.full for c in near[:3])
    if len(sure) > 1:
        born = ", ".join(day_in_words(c.athlete.born) if c.athlete.born else "?" for c in sure)
        return f"{len(sure)} people answer to {name.full} (born {born}). Which of them?"
    if sure:
        if _contradicts(sure[0].athlete, hints) == "club" and sure[0].athlete.club:
            club = sure[0].athlete.club.club
            return f"{name.full}: this row says {hints.club}; {who} is at {club} in the book. The same child?"
        return f"{name.full} has another birth date in the book. Is she {who}?"
    if near[0].how == "part":
        return f"Only “{name.full}” is written. Is she {who}?"
    return f"Nobody in the book is called {name.full}. Is she {who}, or new?"


def as_new(name: NameReading, hints: Hints, register: Register, *, told: str) -> Athlete:
    """Somebody whom a camp list brings into the book, with her name, birth date and club where the row has them.

    `told` is the list and the row, where the coach herself said that she is new.
    """
    athlete = new_athlete(name, hints.born, register, told=told)
    if athlete.id in register.people or not hints.club:
        return athlete
    return replace(athlete, clubs=(ClubStay(hints.club),))
