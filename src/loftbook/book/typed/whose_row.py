"""Whether a row of a roster tells of somebody new, of somebody known, or must be asked about.

Same name and same birth date are one child. Same name and another birth date, a name
that is nearly the same on the same birth date, a first name and birth date with
another family name: each of these is asked, never decided here.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import date

from loftbook.book.identity import same_fact
from loftbook.book.people import Athlete, Name
from loftbook.book.typed.decisions import Answers, Choice, answer_to
from loftbook.book.typed.matching import SURE, Candidate, Register
from loftbook.book.typed.names import NameReading
from loftbook.book.typed.words import day_in_words, fold_name

_NEARLY = 0.8  # how alike two names must be to be asked about


@dataclass(frozen=True)
class Who:
    """Who a row is: `athlete` None for somebody new; `choices` while it is asked.

    `renamed` and `born` are true where the coach said that the row is right and the
    book is to be corrected. `left_out` is true where she said to leave the row out.
    """

    athlete: Athlete | None = None
    confidence: float = 1.0
    sentence: str = ""
    choices: tuple[Choice, ...] = ()
    chosen: str = ""
    renamed: bool = False
    corrects_birth: bool = False
    left_out: bool = False

    @property
    def asked(self) -> bool:
        """True while the question has no answer."""
        return bool(self.choices) and not self.chosen


def person_in_words(athlete: Athlete, register: Register) -> str:
    """Somebody as a coach tells her from others: name, birth date, club, row of the list."""
    parts = [athlete.name.full]
    parts += [f"born {day_in_words(athlete.born)}"] if athlete.born else []
    parts += [athlete.club.club] if athlete.club and athlete.club.club else []
    row = register.rows.get(athlete.id)
    return ", ".join(parts) + (f" (row {row} of this list)" if row else "")


def new_athlete(name: NameReading, born: date | None, register: Register, *, told: str = "") -> Athlete:
    """Somebody new, with a number that the same row always gives.

    `told` is the list and the row where the coach said that she is new although her name
    is known; it makes her number her own, and the same when the answer is given again. If
    she is in the book by then, it is she who is returned.
    """
    key = [fold_name(name.full), born.isoformat() if born else "", told]
    number, n = same_fact("athlete", *key), 2
    if told and number in register.people:
        return register.people[number]
    while number in register.people:
        number, n = same_fact("athlete", *key, str(n)), n + 1
    return Athlete(number, (Name(name.given, name.family),), born)


def who_is(
    name: NameReading, born: date | None, register: Register, *, question: str, answers: Answers
) -> Who:
    """Who a row of a roster is, asking under the id `question` where it cannot be told."""
    found = register.candidates(name)
    sure = [c for c in found if c.confidence >= SURE]
    same_day = [c for c in sure if born and c.athlete.born == born]
    settled = same_day or ([c for c in sure if c.athlete.born is None] if born and len(sure) == 1 else [])
    if not born and len(sure) == 1:
        settled = sure
    if len(settled) == 1:
        confidence = settled[0].confidence if same_day else min(settled[0].confidence, 0.9)
        return Who(settled[0].athlete, confidence, _how(settled[0]))
    if sure:
        return _asked(settled or sure, name, born, register, question=question, answers=answers)
    near = [c for c in found if c.confidence >= _NEARLY and (not born or c.athlete.born in (born, None))]
    near += _same_girl_other_name(name, born, register, near)
    if near:
        return _asked(near, name, born, register, question=question, answers=answers)
    return _new(name, question, answers)


def _how(found: Candidate) -> str:
    return "" if found.how == "as written" else f"name matched {found.how}"


def _same_girl_other_name(
    name: NameReading, born: date | None, register: Register, known: list[Candidate]
) -> list[Candidate]:
    """Somebody with this first name and birth date under another family name."""
    if not born:
        return []
    have = {c.athlete.id for c in known}
    return [
        Candidate(person, 0.6, "first name and birth date")
        for person in register.people.values()
        if person.born == born
        and person.id not in have
        and any(fold_name(n.given) == fold_name(name.given) for n in person.names)
    ]


def _asked(
    near: list[Candidate],
    name: NameReading,
    born: date | None,
    register: Register,
    *,
    question: str,
    answers: Answers,
) -> Who:
    people = [c.athlete for c in near]
    choices: list[Choice] = []
    for found in near:
        choices += _choices_for(found, name, born, register)
    choices += [Choice("new", "another child, new in the book"), Choice("skip", "leave this row out")]
    who = Who(None, near[0].confidence, _question(near, name, born, register), tuple(choices))
    key = answer_to(answers, question, choices)
    if not key:
        return who
    if key in ("new", "skip"):
        return replace(who, chosen=key, left_out=key == "skip", sentence="as you said")
    what, _, number = key.partition(" ")
    person = next(p for p in people if p.id.hex.endswith(number))
    return replace(
        who,
        athlete=person,
        confidence=1.0,
        chosen=key,
        sentence="the same child, as you said",
        renamed=what == "renamed",
        corrects_birth=what == "born",
    )


def _choices_for(found: Candidate, name: NameReading, born: date | None, register: Register) -> list[Choice]:
    person, number = found.athlete, found.athlete.id.hex[-8:]
    words = person_in_words(person, register)
    kept = "; the book keeps what it has" if person.born and born and person.born != born else ""
    choices = [Choice(f"is {number}", f"the same child as {words}{kept}")]
    if born and person.born and person.born != born:
        choices.append(
            Choice(f"born {number}", f"the same child as {words}; her birth date is {day_in_words(born)}")
        )
    if found.confidence < SURE and found.how != "part":
        choices.append(
            Choice(f"renamed {number}", f"the same child as {words}; she is called {name.full} now")
        )
    return choices


def _question(near: list[Candidate], name: NameReading, born: date | None, register: Register) -> str:
    others = "; ".join(person_in_words(c.athlete, register) for c in near[:3])
    this = name.full + (f", born {day_in_words(born)}," if born else "")
    if near[0].how == "first name and birth date":
        return f"{this} has the first name and the birth date of {others}. Is she the same child?"
    if near[0].confidence < SURE:
        return f"{this} is nearly the name of {others}. Is she the same child?"
    if born and all(c.athlete.born != born for c in near):
        return f"{this} has the name of {others}, but another birth date. The same child, or two?"
    return f"{this} may be {others}. Who is she?"


def _new(name: NameReading, question: str, answers: Answers) -> Who:
    """Somebody new, unless the name is only half there."""
    if not name.lost and name.given and name.family:
        return Who(None, name.confidence)
    why = "a letter of the name was lost by an earlier save" if name.lost else "only one name is there"
    choices = (Choice("new", f"new in the book as “{name.full}”"), Choice("skip", "leave this row out"))
    key = answer_to(answers, question, choices)
    sentence = (
        f"{name.full}: {why}, and nobody in the book fits. Take it as typed, or correct it in the list?"
    )
    return Who(None, 0.4, "as you said" if key else sentence, choices, key, left_out=key == "skip")
