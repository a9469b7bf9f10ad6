"""The people of the book, as dated facts: names, clubs, heights, twist sides, consent.

Nobody's weight is ever asked for or kept. A person is an id; everything said about
her is a fact with its date, so that a child who changes her club or her name keeps
her history, and what is true "on that day" can always be told.
"""

from __future__ import annotations

import unicodedata
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime
from uuid import UUID

from loftbook.ladder.scales import TwistSide


@dataclass(frozen=True)
class Name:
    """What she was called from a day on (`since` None: from the start)."""

    given: str
    family: str
    since: date | None = None

    @property
    def full(self) -> str:
        """Given name first, as it is spoken."""
        return f"{self.given} {self.family}".strip()


@dataclass(frozen=True)
class ClubStay:
    """Where she trains from a day on, and whom to write to there."""

    club: str
    coach_name: str = ""
    coach_email: str = ""
    since: date | None = None


@dataclass(frozen=True)
class Height:
    """Standing height in metres on a day (`on` None: the day was not written)."""

    metres: float
    on: date | None = None


@dataclass(frozen=True)
class TwistNote:
    """Which way she twists in one skill, or in general (`rung` empty)."""

    side: TwistSide
    rung: str = ""
    on: date | None = None


@dataclass(frozen=True)
class FilmConsent:
    """Whether she may be filmed, as written on a day."""

    allowed: bool
    on: date | None = None
    said_by: str = ""


@dataclass(frozen=True)
class Athlete:
    """One gymnast with all that was ever said about her, oldest first."""

    id: UUID
    names: tuple[Name, ...]
    born: date | None = None
    clubs: tuple[ClubStay, ...] = ()
    heights: tuple[Height, ...] = ()
    twists: tuple[TwistNote, ...] = ()
    consents: tuple[FilmConsent, ...] = ()
    invented: bool = False

    @property
    def name(self) -> Name:
        """Her present name."""
        return self.names[-1]

    @property
    def club(self) -> ClubStay | None:
        """Her present club, if it is known."""
        return self.clubs[-1] if self.clubs else None

    @property
    def height(self) -> Height | None:
        """The latest height written down."""
        return self.heights[-1] if self.heights else None

    @property
    def may_be_filmed(self) -> bool:
        """True only where the last word on filming was yes."""
        return bool(self.consents) and self.consents[-1].allowed

    def club_on(self, day: date) -> ClubStay | None:
        """Her club on a day."""
        stays = [stay for stay in self.clubs if stay.since is None or stay.since <= day]
        return stays[-1] if stays else None

    def age_on(self, day: date) -> float | None:
        """Her age in years on a day, to a tenth, for context only."""
        return None if self.born is None else round((day - self.born).days / 365.2425, 1)


@dataclass(frozen=True)
class Person:
    """A coach who marks or decides; role is "head_coach", "entry" or "read"."""

    id: UUID
    name: str
    role: str = "head_coach"


@dataclass(frozen=True)
class Camp:
    """A camp: when, where, on which bed onto which mat, by which edition."""

    id: UUID
    name: str
    starts: date
    ends: date
    edition: str
    place: str = ""
    bed: str = ""  # the bed's own name, such as "bed A"
    take_off: str = "trampoline"
    landing: str = "soft_flat_mat"
    raters: tuple[str, ...] = ()
    invented: bool = False
    recorded: datetime | None = None
    surfaces_assumed: bool = False  # nobody said take-off and landing: the usual ones, until a coach confirms

    def contains(self, day: date) -> bool:
        """True when the day is one of the camp's."""
        return self.starts <= day <= self.ends

    def shares_days(self, starts: date, ends: date) -> bool:
        """True when one of these days, from the first to the last, is one of the camp's."""
        return starts <= self.ends and self.starts <= ends

    @property
    def place_in_time(self) -> tuple[date, date, UUID]:
        """What puts camps in order: their days, and for two of the same days their ids."""
        return self.starts, self.ends, self.id


def in_running_order(athletes: Iterable[Athlete]) -> tuple[Athlete, ...]:
    """Athletes by family name, given name and id, accents aside: the order of a printed list.

    >>> names = (Name("Zofia", "Zeman"), Name("Calla", "Čapek"), Name("Vesper", "Ærøsund"))
    >>> [a.name.family for a in in_running_order(Athlete(UUID(int=n), (name,)) for n, name in enumerate(names))]
    ['Ærøsund', 'Čapek', 'Zeman']
    """
    return tuple(sorted(athletes, key=lambda a: (_sorted_as(a.name.family), _sorted_as(a.name.given), a.id)))


# Letters that are no plain letter with an accent, and where a reader of a list looks for them.
_STANDS_AS = str.maketrans(
    {"ø": "o", "æ": "ae", "œ": "oe", "ł": "l", "đ": "d", "ð": "d", "þ": "th", "ı": "i", "ħ": "h"}
)


def _sorted_as(name: str) -> str:
    plain = unicodedata.normalize("NFKD", name.casefold().translate(_STANDS_AS))
    return "".join(c for c in plain if not unicodedata.combining(c))
