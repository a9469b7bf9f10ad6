"""Which families of aerial movement a child has never shown at a camp of this book.

Context for a talk, not a deficit: children stay in the order given, nobody's "time
left" is worked out. Her age stands beside it. A programme may set an age by which it
wants to have introduced a family; that is its own policy, off by default.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from enum import Enum
from uuid import UUID

from loftbook.book.people import Athlete
from loftbook.insight.history import History
from loftbook.ladder.rungs import Ladder, Policy, Rung
from loftbook.ladder.scales import Direction

# Evidence: Ford et al. 2011 and Van Hooren & De Ste Croix 2020 against a closing window; for it,
# practical arguments only. No study of multiple somersaults was found.
CONTESTED = (
    "That such skills must be met before a certain age is a belief of the trade; "
    "the evidence for a closing window is contested."
)


class Family(Enum):
    """The four families of aerial movement."""

    BACKWARD_DOUBLE = "backward_double"
    FORWARD_DOUBLE = "forward_double"
    BACKWARD_TWIST = "backward_twist"
    FORWARD_TWIST = "forward_twist"

    @property
    def words(self) -> str:
        """What a coach reads."""
        direction, kind = self.value.split("_")
        return f"{direction} {'double' if kind == 'double' else 'with twist'}"


@dataclass(frozen=True)
class NeverShown:
    """What one child has and has not met, as far as this book says.

    `met` and `never` divide the families that the ladder has rungs for. `age` is in
    years, for context; `policy` is the programme's own sentence, empty where it has no
    policy, nothing is missing, or she is younger than that or of unknown age.
    """

    athlete: UUID
    met: tuple[Family, ...]
    never: tuple[Family, ...]
    age: float | None
    policy: str = ""

    @property
    def sentence(self) -> str:
        """What she has never shown, with her age beside it."""
        if not self.never:
            return "has met every family of this ladder"
        age = "age not known" if self.age is None else f"age {self.age}"
        return f"never at a camp of this book: {', '.join(one.words for one in self.never)} ({age})"


def families_of(rung: Rung) -> frozenset[Family]:
    """The families that a rung belongs to: the one it names, and those its skill shows.

    A full-in is both a backward double and a backward twist.

    >>> from loftbook.ladder.rungs import Standard
    >>> from loftbook.ladder.rungs import Skill
    >>> from loftbook.ladder.scales import Help, Shape
    >>> full_in = Skill(Direction.BACKWARD, 8, (2, 0), Shape.TUCK)
    >>> rung = Rung("full_in", "Full-in", "", "", Standard(Help.NOBODY_IN, (), (), (), ""), full_in)
    >>> sorted(family.words for family in families_of(rung))
    ['backward double', 'backward with twist']
    """
    found = {Family(rung.family)} if rung.family else set()
    skill = rung.skill
    if skill is not None:
        back = skill.direction is Direction.BACKWARD
        if skill.quarters >= 8:
            found.add(Family.BACKWARD_DOUBLE if back else Family.FORWARD_DOUBLE)
        if skill.quarters >= 3 and skill.twists > 0:
            found.add(Family.BACKWARD_TWIST if back else Family.FORWARD_TWIST)
    return frozenset(found)


def never_shown(
    athletes: Iterable[Athlete], ladder: Ladder, *, history: History, on: date, policy: Policy | None = None
) -> tuple[NeverShown, ...]:
    """Which families each child has met at a camp by a day, in the order given.

    Met is shown in any way: alone, with help, or tried. Families that the ladder has no
    rung for are not spoken of. `policy` is the ladder's own where none is given.
    """
    chosen = policy if policy is not None else ladder.policy
    families = {rung.key: families_of(rung) for rung in ladder.rungs}
    asked = frozenset().union(*families.values())
    camps = [camp.id for camp in history.camps if camp.starts <= on]
    rows = []
    for athlete in athletes:
        met: set[Family] = set()
        for camp in camps:
            if met == asked:
                break
            for key, one in history.at(athlete.id, camp).items():
                shows = families.get(key, frozenset())
                if not shows <= met and not one.state.is_blank:
                    met |= shows
        never = tuple(family for family in Family if family in asked - met)
        age = athlete.age_on(on)
        words = _policy_words(age, chosen.introduce_by_age) if never else ""
        rows.append(NeverShown(athlete.id, tuple(f for f in Family if f in met), never, age, words))
    return tuple(rows)


def _policy_words(age: float | None, introduce_by: float | None) -> str:
    if introduce_by is None or age is None or age < introduce_by:
        return ""
    return f"The programme's own policy is to introduce these by the age of {introduce_by:g}. {CONTESTED}"
