"""What was agreed about a child, by whom and when: dated facts; taking a yes back is a new fact."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime
from enum import Enum
from uuid import UUID

from loftbook.book.people import Athlete


class Purpose(Enum):
    """What a consent is about; a yes to one says nothing about the others."""

    FILMING = "filming"
    KEEPING = "keeping"
    SHARING = "sharing"
    HOME_COACH = "home_coach"
    PARENT = "parent"

    @property
    def words(self) -> str:
        """What a coach reads."""
        return _PURPOSE_WORDS[self]


#: What is about films; the others are about what is written of her.
OF_FILMS = (Purpose.FILMING, Purpose.KEEPING, Purpose.SHARING)
_PURPOSE_WORDS = {
    Purpose.FILMING: "being filmed",
    Purpose.KEEPING: "keeping the film until a day",
    Purpose.SHARING: "showing the film to somebody else",
    Purpose.HOME_COACH: "writing about her to her home coach",
    Purpose.PARENT: "sending a parent or guardian a copy",
}


@dataclass(frozen=True)
class Consent:
    """A fact: somebody who may decide said yes or no to one purpose, and somebody wrote it down.

    `until` is the last day on which a yes holds; None: until it is taken back.
    """

    id: UUID
    athlete: UUID
    purpose: Purpose
    allowed: bool
    on: date
    said_by: str
    recorded_by: str
    at: datetime
    until: date | None = None


@dataclass(frozen=True)
class Word:
    """What stands about one purpose on a day: yes or no, and in words what that rests on."""

    allowed: bool
    rests_on: str
    until: date | None = None
    consent: UUID | None = None


def word_on(
    purpose: Purpose, day: date, *, athlete: Athlete, consents: Iterable[Consent] = ()
) -> Word | None:
    """The last word on a purpose as of a day, from what was recorded and from the roster; None for none.

    `consents` in the order of writing. What a roster says counts for filming only. Of two words of one day
    the one written down later stands; a roster's word without a day is the oldest, but
    a no without a day has the last word, to be on the safe side.

    >>> from loftbook.book.people import FilmConsent, Name
    >>> who = Athlete(UUID(int=1), (Name("Mira", "Moss"),), consents=(FilmConsent(allowed=True),))
    >>> word_on(Purpose.FILMING, date(2026, 4, 11), athlete=who).rests_on
    'yes to being filmed, from the roster'
    >>> word_on(Purpose.SHARING, date(2026, 4, 11), athlete=who) is None
    True
    """
    said = sorted(
        (c for c in consents if c.purpose is purpose and c.athlete == athlete.id and c.on <= day),
        key=lambda c: (c.on, c.at),  # of one moment the one that comes later
    )
    roster = athlete.consents[-1] if purpose is Purpose.FILMING and athlete.consents else None
    if roster is not None and _roster_stands(roster.allowed, roster.on, said):
        dated = f" of {roster.on.isoformat()}" if roster.on else ""
        yes = "yes" if roster.allowed else "no"
        return Word(roster.allowed, f"{yes} to {purpose.words}, from the roster{dated}")
    if not said:
        return None
    last = said[-1]
    over = last.until is not None and last.until < day
    yes = "yes" if last.allowed else "no"
    ends = f", until {last.until.isoformat()}" if last.until else ""
    rests_on = f"{yes} to {purpose.words} by {last.said_by} on {last.on.isoformat()}{ends}"
    return Word(last.allowed and not over, rests_on, last.until, last.id)


def _roster_stands(allowed: bool, on: date | None, said: list[Consent]) -> bool:  # noqa: FBT001
    if not said:
        return True
    return on > said[-1].on if on is not None else not allowed


def before_it_goes(word: Word | None) -> str:
    """What a letter to the home coach says of itself before it goes out; nothing where a yes stands.

    A word that is missing keeps no letter from being written, since other grounds than
    consent may do; it is said where nobody can miss it.

    >>> before_it_goes(None)[:62]
    'The book holds no yes to writing about her to her home coach. '
    """
    about = Purpose.HOME_COACH.words
    if word is None:
        return (
            f"The book holds no yes to {about}. Before this goes out, ask whoever may decide for her and write the "
            "word down, or know on what other ground it goes."
        )
    if word.allowed:
        return ""
    return f"This is not to go out: {word.rests_on}."
