"""A ladder: its rungs, what each one asks for, and what leads to it.

Values only. `ladder.reading` makes them from a TOML text; `ladder.shipped` holds
the one that comes with Loftbook. Rungs are recorded independently: the graph of
prerequisites is there to be shown, never to refuse a mark.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import date
from difflib import get_close_matches

from loftbook.errors import UnknownThing
from loftbook.ladder.scales import (
    Direction,
    Help,
    Landing,
    Outcome,
    Shape,
    TakeOff,
)


@dataclass(frozen=True)
class Skill:
    """One skill in the air: direction, quarters of somersault, half twists, shape.

    `half_twists` has one number for each whole or begun somersault (a double back
    has two). A rung that is no somersault (a jump, a drop) has no `Skill`.

    >>> Skill(Direction.BACKWARD, 8, (2, 0), Shape.TUCK).twists
    1.0
    """

    direction: Direction
    quarters: int
    half_twists: tuple[int, ...]
    shape: Shape

    @property
    def somersaults(self) -> float:
        """Somersaults, in turns."""
        return self.quarters / 4

    @property
    def twists(self) -> float:
        """Twists, in turns."""
        return sum(self.half_twists) / 2

    @property
    def bed_in_sight(self) -> bool:
        """True when she comes in rotating backward, so that she can see where she lands.

        An even number of half twists from a backward take-off, or an odd one from a
        forward take-off. Source: geometry.

        >>> Skill(Direction.FORWARD, 4, (1,), Shape.PIKE).bed_in_sight
        True
        """
        return (sum(self.half_twists) % 2 == 0) == (self.direction is Direction.BACKWARD)

    @property
    def families(self) -> tuple[str, ...]:
        """Which families of movement it belongs to: double from two somersaults, twist from half a twist.

        >>> Skill(Direction.FORWARD, 8, (0, 1), Shape.TUCK).families
        ('forward_double', 'forward_twist')
        """
        turn = self.direction.value
        double = (f"{turn}_double",) if self.quarters >= 8 else ()
        return (*double, f"{turn}_twist") if any(self.half_twists) else double


@dataclass(frozen=True)
class Standard:
    """What counts on this rung: how much help, from what, onto what, with which end."""

    help: Help  # at least as little help as this
    take_offs: tuple[TakeOff, ...]
    landings: tuple[Landing, ...]
    outcomes: tuple[Outcome, ...]
    did_it: str  # the programme's own words for "did it"
    shape_words: str = ""  # the programme's own definition of the shape, if it has one


@dataclass(frozen=True)
class Criterion:
    """One thing the coach watches, with three levels in words (1 is the lowest)."""

    key: str
    name: str
    levels: tuple[str, str, str]
    watch: str = ""


@dataclass(frozen=True)
class Drill:
    """Something to train at home: what, on what, with which help, how much, when to stop."""

    key: str
    name: str
    how: str
    rungs: tuple[str, ...]
    criteria: tuple[str, ...]
    surface: str
    help: str
    dose: str
    stop: str
    evidence: str


@dataclass(frozen=True)
class Rung:
    """One step of the ladder."""

    key: str
    name: str
    short: str
    group: str
    standard: Standard
    skill: Skill | None = None
    prerequisites: tuple[str, ...] = ()
    aliases: tuple[str, ...] = ()
    family: str = ""  # "", backward_double, forward_double, backward_twist, forward_twist
    tested: bool = False  # one of the camp's test rungs
    belt: bool = False  # learnt in the twisting belt
    checklist: tuple[str, ...] = ()
    note: str = ""

    @property
    def families(self) -> tuple[str, ...]:
        """Every family of movement that this rung shows: the declared one, and those of its skill.

        A rung without a family of its own, such as the transfer of a known double to
        another apparatus, still shows what its skill is.
        """
        shown = (self.family,) if self.family else ()
        return tuple(dict.fromkeys([*shown, *(self.skill.families if self.skill else ())]))


@dataclass(frozen=True)
class Policy:
    """What the programme decides for itself; everything here is off or neutral by default."""

    counting: str = "any"  # which attempts of a camp count: "any", "first", "last"
    introduce_by_age: float | None = None
    show_difficulty: bool = False
    short_landings_before_prompt: int = 2


@dataclass(frozen=True)
class Ladder:
    """A whole ladder with its edition and date.

    `rung` finds by key and raises `UnknownThing` with the nearest keys. Rungs stand
    in the order of the file, which is the order of every list.
    """

    name: str
    edition: str
    dated: date
    rungs: tuple[Rung, ...]
    criteria: tuple[Criterion, ...]
    drills: tuple[Drill, ...]
    policy: Policy = field(default_factory=Policy)
    groups: tuple[tuple[str, str], ...] = ()  # (key, name) in order
    cautions: tuple[str, ...] = ()
    lists: str = ""  # the edition of its checklists, where they have one of their own
    lists_dated: date | None = None

    @property
    def lists_edition(self) -> str:
        """By which edition its checklists go: their own, or the ladder's."""
        return self.lists or self.edition

    def rung(self, key: str) -> Rung:
        """The rung of that key."""
        for rung in self.rungs:
            if rung.key == key:
                return rung
        keys = [rung.key for rung in self.rungs]
        near = get_close_matches(key, keys, n=3, cutoff=0.5) or keys[:5]
        raise UnknownThing(
            f"a rung called {key!r}",
            f"a rung of the ladder {self.edition}, such as {', '.join(near)}",
            "use a key of the ladder, or add the rung to the ladder file",
        )

    @property
    def test_rungs(self) -> tuple[Rung, ...]:
        """The rungs that everyone is asked to show at a camp, in ladder order."""
        return tuple(rung for rung in self.rungs if rung.tested)
