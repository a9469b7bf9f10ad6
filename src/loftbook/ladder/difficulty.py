"""The difficulty that competition rules give a skill, by a dated edition; off unless switched on.

Trampoline and double mini count on different scales: the same double has about
twice the number on double mini. A trampoline value is a `Decimal`, a double-mini
value is a `DoubleMiniValue`, which neither adds to nor compares with a number.
Where an edition says nothing that was read, there is no value.
"""

from __future__ import annotations

import tomllib
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from decimal import Decimal, InvalidOperation

from loftbook.errors import LadderError
from loftbook.ladder.contents import day, text, whole
from loftbook.ladder.fields import Fields, only, tables
from loftbook.ladder.lines import lines_of
from loftbook.ladder.notation import plain_skill
from loftbook.ladder.rungs import Ladder, Policy, Rung, Skill
from loftbook.ladder.scales import Help, Shape, TakeOff


@dataclass(frozen=True)
class DifficultyTable:
    """One edition of the trampoline difficulty formula.

    Units
        points; a quarter is 90° of somersault, a half twist 180°

    Valid
        skills of up to `most_quarters`, on the days from `starts` to `ends`
    """

    edition: str
    starts: date
    ends: date
    source: str
    quarter: Decimal
    somersault: Decimal  # for each completed one, on top of its quarters
    half_twist: Decimal
    open_single: Decimal  # pike or straight, one somersault or begun second, without twist
    open_single_twisting: Decimal
    open_multiple: Decimal  # pike or straight, two somersaults or more, with or without twist
    most_quarters: int


@dataclass(frozen=True)
class DoubleMiniTable:
    """One edition of the double-mini rule for a group of skills with as many somersaults."""

    edition: str
    starts: date
    ends: date
    source: str
    somersaults: int
    somersault: Decimal
    half_twist: Decimal
    times: int
    pike: Decimal
    straight: Decimal


@dataclass(frozen=True)
class DoubleMiniValue:
    """A difficulty on the double-mini scale; no number, so that it cannot be mixed with one.

    >>> DoubleMiniValue(Decimal("2.0"), "2005") == Decimal("2.0")
    False
    """

    points: Decimal
    edition: str

    @property
    def words(self) -> str:
        """The value with its scale, which must always stand beside it."""
        return f"{self.points} on the double-mini scale, edition {self.edition}"


@dataclass(frozen=True)
class Tables:
    """All difficulty tables of a file, oldest first, the two scales apart."""

    trampoline: tuple[DifficultyTable, ...]
    double_mini: tuple[DoubleMiniTable, ...]


def difficulty(skill: Skill, table: DifficultyTable) -> Decimal | None:
    """The trampoline difficulty of a skill by one edition, or nothing where the edition was not read so far.

    Units
        points

    Source
        the table's own

    >>> from loftbook.ladder.notation import read_notation
    >>> from loftbook.ladder.scales import Direction
    >>> from loftbook.ladder.shipped import shipped_difficulty
    >>> difficulty(read_notation("8 – 2 <", Direction.BACKWARD), shipped_difficulty().trampoline[-1])
    Decimal('1.4')
    """
    skill = plain_skill(skill)
    if skill.quarters > table.most_quarters:
        return None
    value = skill.quarters * table.quarter + (skill.quarters // 4) * table.somersault
    value += sum(skill.half_twists) * table.half_twist
    if skill.shape in (Shape.PIKE, Shape.STRAIGHT):
        if skill.quarters >= 8:
            value += table.open_multiple
        elif skill.quarters >= 4:
            value += table.open_single_twisting if any(skill.half_twists) else table.open_single
    return value


def double_mini_difficulty(skill: Skill, rules: Iterable[DoubleMiniTable]) -> DoubleMiniValue | None:
    """The double-mini difficulty of a whole double or triple, or nothing where no rule was read.

    Units
        points of the double-mini scale

    >>> from loftbook.ladder.notation import read_notation
    >>> from loftbook.ladder.scales import Direction
    >>> from loftbook.ladder.shipped import shipped_difficulty
    >>> double = read_notation("8 – – o", Direction.BACKWARD)
    >>> double_mini_difficulty(double, shipped_difficulty().double_mini).words
    '2.0 on the double-mini scale, edition double mini 2005'
    """
    skill = plain_skill(skill)
    for rule in rules:
        if skill.quarters == 4 * rule.somersaults:
            inside = rule.somersaults * rule.somersault + sum(skill.half_twists) * rule.half_twist
            more = {Shape.PIKE: rule.pike, Shape.STRAIGHT: rule.straight}.get(skill.shape, Decimal(0))
            return DoubleMiniValue(rule.times * inside + more, rule.edition)
    return None


@dataclass(frozen=True)
class ShownDifficulty:
    """What stands beside a rung: points of the trampoline scale, and the edition that gave them."""

    points: Decimal
    edition: str
    ends: date

    @property
    def words(self) -> str:
        """The points with their scale and the year to which they were in force.

        >>> ShownDifficulty(Decimal("1.2"), "trampoline to 2024", date(2024, 12, 31)).words
        'difficulty 1.2 (trampoline, to 2024)'
        """
        return f"difficulty {self.points} (trampoline, to {self.ends.year})"


def shown_difficulties(ladder: Ladder, dated: Iterable[DifficultyTable]) -> dict[str, ShownDifficulty]:
    """What to print beside each rung, by its key; empty unless the programme switched it on.

    The table that ends last is taken, since of the editions after it nothing was read.

    >>> from loftbook.ladder.shipped import shipped_difficulty, shipped_ladder
    >>> shown_difficulties(shipped_ladder(), shipped_difficulty().trampoline)
    {}
    """
    tables_read = tuple(dated)
    if not ladder.policy.show_difficulty or not tables_read:
        return {}
    last = max(tables_read, key=lambda one: one.ends)
    found = ((rung.key, shown_difficulty(rung, ladder.policy, last)) for rung in ladder.rungs)
    return {
        key: ShownDifficulty(points, last.edition, last.ends) for key, points in found if points is not None
    }


def shown_difficulty(rung: Rung, policy: Policy, table: DifficultyTable) -> Decimal | None:
    """The points of one rung by one edition: nothing unless the programme switched it on.

    Only for a skill from a trampoline that the standard wants with nobody in: other
    apparatus has another scale, and a skill in the belt has no points in any.

    >>> from loftbook.ladder.shipped import shipped_difficulty, shipped_ladder
    >>> table, rung = shipped_difficulty().trampoline[-1], shipped_ladder().rung("double_tuck")
    >>> shown_difficulty(rung, Policy(), table), shown_difficulty(rung, Policy(show_difficulty=True), table)
    (None, Decimal('1.0'))
    """
    if not policy.show_difficulty or rung.skill is None:
        return None
    asked = rung.standard
    if asked.take_offs != (TakeOff.TRAMPOLINE,) or asked.help is not Help.NOBODY_IN:
        return None
    return difficulty(rung.skill, table)


def read_difficulty(toml: str) -> Tables:
    """Difficulty tables from the text of a file; each key must be there.

    Raises
        LadderError with the line of the first mistake
    """
    try:
        values = tomllib.loads(toml)
    except ValueError as error:
        raise LadderError(f"a difficulty file that is not TOML ({error})", "TOML", "correct it") from error
    fields = Fields(values, (), lines_of(toml))
    only(fields, ["trampoline", "double_mini"])
    return Tables(
        tuple(_trampoline(one) for one in tables(fields, "trampoline")),
        tuple(_double_mini(one) for one in tables(fields, "double_mini")),
    )


def _trampoline(fields: Fields) -> DifficultyTable:
    points = ["quarter", "somersault", "half_twist", "open_single", "open_single_twisting", "open_multiple"]
    only(fields, ["edition", "source", "starts", "ends", "most_quarters", *points])
    quarter, somersault, half_twist, open_single, open_single_twisting, open_multiple = (
        _points(fields, key) for key in points
    )
    return DifficultyTable(
        text(fields, "edition"),
        day(fields, "starts"),
        day(fields, "ends"),
        text(fields, "source"),
        quarter=quarter,
        somersault=somersault,
        half_twist=half_twist,
        open_single=open_single,
        open_single_twisting=open_single_twisting,
        open_multiple=open_multiple,
        most_quarters=whole(fields, "most_quarters", most=20),
    )


def _double_mini(fields: Fields) -> DoubleMiniTable:
    points = ["somersault", "half_twist", "pike", "straight"]
    only(fields, ["edition", "source", "starts", "ends", "somersaults", "times", *points])
    somersault, half_twist, pike, straight = (_points(fields, key) for key in points)
    return DoubleMiniTable(
        text(fields, "edition"),
        day(fields, "starts"),
        day(fields, "ends"),
        text(fields, "source"),
        somersaults=whole(fields, "somersaults", most=5),
        somersault=somersault,
        half_twist=half_twist,
        times=whole(fields, "times", most=5),
        pike=pike,
        straight=straight,
    )


def _points(fields: Fields, key: str) -> Decimal:
    """Points, written as a text so that a tenth stays a tenth."""
    written = text(fields, key)
    try:
        value = Decimal(written)
    except InvalidOperation:
        value = Decimal(-1)
    if not value.is_finite() or not 0 <= value <= 10:
        raise fields.mistake(
            f"{key} = {written!r}", 'points in quotes, "0.0" to "10"', "correct it", at=(key,)
        )
    return value
