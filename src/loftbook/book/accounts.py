"""Whom the book is opened for, where several head coaches share it: which camps are hers, or counts alone.

Values only. No key is ever in one of them: the book keeps a digest.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from enum import Enum
from uuid import UUID

from loftbook.errors import Refused

LONGEST_NAME = 100


class Sees(Enum):
    """What an account is let in to see."""

    COACH = "coach"
    PROGRAMME = "programme"

    @property
    def words(self) -> str:
        """What a coach reads."""
        return _WORDS[self]


_WORDS = {
    Sees.COACH: "coach: reads her camps and the children who were expected there or wrote something there",
    Sees.PROGRAMME: "programme: reads counts over all camps, and no name",
}


@dataclass(frozen=True)
class Account:
    """One who reads this book without holding it: a named coach with her camps, or the programme."""

    id: UUID
    name: str
    sees: Sees
    made: datetime
    camps: frozenset[UUID] = frozenset()
    ended: datetime | None = None

    @property
    def stands(self) -> bool:
        """Whether its key still opens anything."""
        return self.ended is None


def account_name(typed: str) -> str:
    """The name of an account on one line.

    Raises Refused for none and for one that is too long.

    >>> account_name("  B.  Penhallow ")
    'B. Penhallow'
    """
    name = " ".join(typed.split())
    if not 1 <= len(name) <= LONGEST_NAME or not name.isprintable():
        raise Refused(
            f"a name of {len(name)} letters", f"1 to {LONGEST_NAME}", "give the coach's name, on one line"
        )
    return name
