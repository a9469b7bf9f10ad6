"""Which of what another book says about a child is new here, and which contradicts what stands here.

Dated facts lie side by side: a height of April and one of October are both true. Only
where two books say different things of one day, or of no day, is one of them wrong; then
what stands here stays, and both are shown to the head coach.
"""

from __future__ import annotations

from collections.abc import Hashable, Iterable
from dataclasses import dataclass
from datetime import date
from typing import TypeAlias

from loftbook.book.people import Athlete, ClubStay, FilmConsent, Height, Name, TwistNote
from loftbook.book.typed.words import fold

Told: TypeAlias = Name | ClubStay | Height | TwistNote | FilmConsent


@dataclass(frozen=True)
class Differs:
    """Two books say different things of the same: both values, as a coach reads them."""

    kind: str  # "birth date", "name", "club", "height", "twist side"
    here: str
    there: str
    fact: Told | date  # what the other book says


@dataclass(frozen=True)
class News:
    """What another book adds about one child."""

    born: date | None
    facts: tuple[Told, ...]
    differs: tuple[Differs, ...]
    same: int  # how many facts both books have


def news_of(here: Athlete, there: Athlete) -> News:
    """What `there`, the same child in another book, adds to what this book says of her.

    >>> from uuid import UUID
    >>> spring, autumn = date(2026, 4, 11), date(2026, 10, 10)
    >>> mira = Athlete(UUID(int=1), (Name("Mira", "Moss"),), heights=(Height(1.40, spring),))
    >>> other = Athlete(UUID(int=2), (Name("Mira", "Moss"),), heights=(Height(1.41, spring), Height(1.44, autumn)))
    >>> news = news_of(mira, other)
    >>> [fact.metres for fact in news.facts], [(one.here, one.there) for one in news.differs]
    ([1.44], [('1.40 m on 2026-04-11', '1.41 m on 2026-04-11')])
    """
    have: dict[Hashable, Told] = {_place(fact): fact for fact in _all(here)}
    known = set(_all(here))
    facts, differs, same = [], [], 0
    for fact in _all(there):
        stands = have.get(_place(fact))
        if fact in known or (stands is not None and _says(stands) == _says(fact)):
            same += 1
        elif stands is None or isinstance(fact, FilmConsent):
            # Of two words on filming of one day both are kept: the book's own rule says which stands.
            facts.append(fact)
        else:
            differs.append(Differs(_KIND[type(fact)], in_words(stands), in_words(fact), fact))
    born = there.born if here.born is None else None
    if here.born and there.born and here.born != there.born:
        differs.insert(0, Differs("birth date", here.born.isoformat(), there.born.isoformat(), there.born))
    return News(
        born, tuple(facts), tuple(differs), same + (here.born == there.born and here.born is not None)
    )


_KIND: dict[type[Told], str] = {
    Name: "name",
    ClubStay: "club",
    Height: "height",
    TwistNote: "twist side",
    FilmConsent: "word on filming",
}


def _all(who: Athlete) -> Iterable[Told]:
    return (*who.names, *who.clubs, *who.heights, *who.twists, *who.consents)


def _place(fact: Told) -> Hashable:
    """Two facts of one place cannot both be true."""
    day = fact.since if isinstance(fact, (Name, ClubStay)) else fact.on
    return (type(fact), fact.rung if isinstance(fact, TwistNote) else "", day)


def _says(fact: Told) -> Hashable:
    if isinstance(fact, Name):
        return fold(fact.full)
    if isinstance(fact, ClubStay):
        return (fold(fact.club), fold(fact.coach_name), fact.coach_email.casefold())
    return fact


def in_words(fact: Told | date) -> str:
    """A fact as a coach reads it.

    >>> in_words(Height(1.4)), in_words(Name("Mira", "Moss"))
    ('1.40 m', 'Mira Moss')
    """
    if isinstance(fact, date):
        return fact.isoformat()
    if isinstance(fact, Name):
        return fact.full + (f" from {fact.since} on" if fact.since else "")
    if isinstance(fact, ClubStay):
        coach = ", ".join(filter(None, (fact.coach_name, fact.coach_email)))
        return (fact.club or "no club") + (f" ({coach})" if coach else "") + _since(fact.since)
    day = f" on {fact.on}" if fact.on else ""
    if isinstance(fact, Height):
        return f"{fact.metres:.2f} m{day}"
    if isinstance(fact, TwistNote):
        return f"{fact.side.value}{f' in {fact.rung}' if fact.rung else ''}{day}"
    return ("yes" if fact.allowed else "no") + day


def _since(day: date | None) -> str:
    return f" from {day} on" if day else ""
