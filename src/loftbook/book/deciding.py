"""What a qualified person decided about one child and one rung: a dated fact with its reason and its day of review.

Loftbook never decides. It keeps who did, in what capacity, why, and when it is to be looked at
again. A correction is a new decision that names the one it replaces.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime
from enum import Enum
from uuid import UUID

from loftbook.errors import Refused


class Decided(Enum):
    """Which way a person decided; what exactly, and on which conditions, stands in the reason."""

    BEGIN = "begin"
    STAY = "stay"
    LOOK_AGAIN = "look_again"

    @property
    def words(self) -> str:
        """What a coach reads."""
        return _WORDS[self]


_WORDS = {
    Decided.BEGIN: "begin it, as the reason says",
    Decided.STAY: "stay with what she does now",
    Decided.LOOK_AGAIN: "look again before anything is begun",
}
LONGEST = 2000  # letters of a reason


@dataclass(frozen=True)
class Decision:
    """A fact: who decided what about one child and one rung, in what capacity, why, and until when it stands.

    `review` is the day by which it is to be looked at again; after it the decision is still
    shown, and said to be past its day. `edition` is that of the checklist which lay on the
    table.
    """

    id: UUID
    athlete: UUID
    rung: str
    decided: Decided
    on: date
    review: date
    by: str
    qualified: str  # in what capacity, such as "national coach, trampoline level 4"
    reason: str
    edition: str
    at: datetime
    replaces: UUID | None = None

    def is_past(self, day: date) -> bool:
        """True where its day of review is over."""
        return self.review < day


def standing_decisions(decisions: Iterable[Decision]) -> tuple[Decision, ...]:
    """The decisions that stand, the newest first: those that no other one replaces.

    >>> standing_decisions([])
    ()
    """
    known = tuple(decisions)
    gone = {one.replaces for one in known if one.replaces}
    return tuple(
        sorted((one for one in known if one.id not in gone), key=lambda one: (one.on, one.at), reverse=True)
    )


def checked(new: Decision, today: date) -> Decision:
    """The decision, if it says all that one must say.

    Raises Refused where a name, the capacity or the reason is missing, where it is dated
    in the future, or where its review does not come after it.
    """
    for what, told in (
        ("who decided", new.by),
        ("how that person is qualified", new.qualified),
        ("the reason", new.reason),
    ):
        if not told.strip():
            raise Refused(f"a decision without {what}", "all three: name, qualification, reason", "write it")
        if len(told) > LONGEST:
            raise Refused(f"{len(told)} letters for {what}", f"at most {LONGEST}", "say it shorter")
    if new.on > today:
        raise Refused(f"a decision of {new.on}, which is to come", "today or a day before", "correct the day")
    if new.review <= new.on:
        raise Refused(
            f"a review on {new.review}, not after the decision of {new.on}",
            "a later day: no decision stands for ever",
            "choose the day on which it is looked at again",
        )
    return new
