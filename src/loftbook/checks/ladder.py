"""Difficulty and number notation against the published values of the 2005 edition."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from decimal import Decimal
from typing import Any

from loftbook.checks.places import authority
from loftbook.checks.registry import Finding, check
from loftbook.ladder.difficulty import difficulty, double_mini_difficulty
from loftbook.ladder.notation import read_notation, write_notation
from loftbook.ladder.rungs import Skill
from loftbook.ladder.scales import Direction, Shape
from loftbook.ladder.shipped import shipped_difficulty

Row = Mapping[str, Any]

TABLE = authority("difficulty-2005")
VALUES = "FIG trampoline code of points 2005, difficulty table, on a coaching page; read second hand"
NOTATION = (
    "trampoline rules 2013-16, read second hand; twists in each somersault from a glossary of trade words"
)
DOUBLE_MINI = "double-mini rule of 2005, two pages read second hand; values worked out from it by hand"
EXACT = "none: tenths are counted exactly"
COLUMNS = {"tuck": (Shape.TUCK,), "pike_or_straight": (Shape.PIKE, Shape.STRAIGHT)}
SHAPES = {"tuck": (Shape.TUCK,), "pike": (Shape.PIKE,), "straight": (Shape.STRAIGHT,)}


def skill_of(row: Row, shape: Shape) -> Skill:
    """The skill of a published row in one shape."""
    return read_notation(row["notation"], Direction(row["direction"]), shape)


def published(rows: Iterable[Row], columns: Iterable[str]) -> str:
    """What the table says, skill by skill."""
    names = list(columns)
    return "; ".join(f"{row['skill']} {'/'.join(row[name] for name in names if name in row)}" for row in rows)


def compared(rows: Iterable[Row]) -> Finding:
    """Each cell of some rows against the edition of 2005; a cell of two shapes must hold for both."""
    table = shipped_difficulty().trampoline[0]
    got, holds = [], True
    for row in rows:
        values = [
            [difficulty(skill_of(row, shape), table) for shape in shapes]
            for column, shapes in COLUMNS.items()
            if column in row
        ]
        wanted = [Decimal(row[column]) for column in COLUMNS if column in row]
        holds = holds and all(set(cell) == {one} for cell, one in zip(values, wanted, strict=True))
        got.append(f"{row['skill']} {'/'.join(' or '.join(sorted(set(map(str, cell)))) for cell in values)}")
    return Finding(got="; ".join(got), holds=holds)


@check(
    name="Difficulty of single somersaults, trampoline 2005",
    kind="published",
    source=VALUES,
    expected=published(TABLE["single"], COLUMNS),
    tolerance=EXACT,
)
def singles() -> Finding:
    """Singles, tuck and pike or straight."""
    return compared(TABLE["single"])


@check(
    name="Difficulty of double somersaults, trampoline 2005",
    kind="published",
    source=VALUES,
    expected=published(TABLE["double"], COLUMNS),
    tolerance=EXACT,
)
def doubles() -> Finding:
    """Doubles, tuck and pike or straight."""
    return compared(TABLE["double"])


@check(
    name="Difficulty beyond the double, trampoline 2005",
    kind="published",
    source=VALUES,
    expected=published(TABLE["beyond"], COLUMNS),
    tolerance=EXACT,
)
def beyond() -> Finding:
    """2¾ and triples; triples hold for the edition of 2005 alone."""
    return compared(TABLE["beyond"])


@check(
    name="Skills in the trade's number notation",
    kind="published",
    source=NOTATION,
    expected="; ".join(f"{row['skill']} {row['notation']}" for row in TABLE["written"]),
    tolerance="none: read and written back sign by sign",
)
def notation() -> Finding:
    """Each skill, put together from its words, is written as published and read back."""
    got, holds = [], True
    for row in TABLE["written"]:
        direction = Direction(row["direction"])
        skill = Skill(
            direction,
            int(4 * Decimal(row["somersaults"])),
            tuple(int(2 * Decimal(twist)) for twist in row["twists"]),
            Shape(row["shape"]),
        )
        written = write_notation(skill)
        holds = holds and written == row["notation"] and read_notation(row["notation"], direction) == skill
        got.append(f"{row['skill']} {written}")
    return Finding(got="; ".join(got), holds=holds)


@check(
    name="Difficulty of doubles on double mini, a scale of its own",
    kind="published",
    source=DOUBLE_MINI,
    expected=published(TABLE["double_mini"], SHAPES),
    tolerance=EXACT,
)
def double_mini() -> Finding:
    """Tuck, pike and straight on the double-mini scale."""
    rules = shipped_difficulty().double_mini
    got, holds = [], True
    for row in TABLE["double_mini"]:
        values = [double_mini_difficulty(skill_of(row, shape), rules) for (shape,) in SHAPES.values()]
        points = [value.points if value else None for value in values]
        holds = holds and points == [Decimal(row[column]) for column in SHAPES]
        got.append(f"{row['skill']} {'/'.join(map(str, points))}")
    return Finding(got="; ".join(got), holds=holds)
