"""Tables as values: columns that know whether they hold words or numbers, and cells."""

from __future__ import annotations

from dataclasses import dataclass

from loftbook.insight.standing import State


@dataclass(frozen=True)
class Column:
    """A column: "text" is set to the left, "number" to the right in tabular figures.

    `share` is its part of the width that is left when narrow columns have taken
    theirs; 0 makes it as narrow as its contents.
    """

    title: str
    kind: str = "text"
    share: float = 1.0


@dataclass(frozen=True)
class Cell:
    """What stands in one place of a table: a state's form, words, and quiet words under them.

    `items` (names, say) are set in columns in place of the text.
    """

    text: str = ""
    mark: State | None = None
    strong: bool = False
    quiet: bool = False
    finding: bool = False
    under: str = ""
    items: tuple[str, ...] = ()


@dataclass(frozen=True)
class Table:
    """Rows under columns; the first cell of a row names the row.

    >>> Table((Column("Rung"),), ((Cell("Double tuck"),),)).rows[0][0].text
    'Double tuck'
    """

    columns: tuple[Column, ...]
    rows: tuple[tuple[Cell, ...], ...]
    caption: str = ""
