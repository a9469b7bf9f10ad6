"""From the bytes of a typed list to its titles, headings and rows, all as text.

Nothing is interpreted here beyond the form of the list: letters, columns, where the
headings are. What was recognised stands in `TypedTable.notes`, each with how sure it is.
"""

from __future__ import annotations

import hashlib
from collections.abc import Collection
from dataclasses import dataclass, replace

from loftbook.book.typed.decisions import Answers, Choice, FileDecision, as_answered
from loftbook.book.typed.encoding import decode
from loftbook.book.typed.headings import ALIASES, is_heading
from loftbook.book.typed.separated import Grid, split_cells
from loftbook.book.typed.words import fold, is_totals, shortened, tidy
from loftbook.book.typed.workbook import MOST_COLUMNS, MOST_ROWS, read_workbook
from loftbook.errors import ListError

MOST_BYTES = 10_000_000
_SEARCHED = 25  # rows in which the headings are looked for
_OTHER_KINDS = (
    (
        b"\xd0\xcf\x11\xe0",
        "an old XLS file, or a spreadsheet with a password",
        "save it as XLSX without a password",
    ),
    (b"%PDF", "a PDF", "ask for the spreadsheet it was made from, or type the list as CSV"),
    (b"\x89PNG", "a picture", "type the list as CSV or XLSX"),
    (b"\xff\xd8\xff", "a picture", "type the list as CSV or XLSX"),
    (b"GIF8", "a picture", "type the list as CSV or XLSX"),
    (b"{\\rtf", "a text document", "copy the table into a spreadsheet and save it as XLSX"),
    (b"\x1f\x8b", "a packed file", "unpack it first"),
    (b"SQLite format 3", "a database", "open it with `loftbook`, or import a list"),
)


@dataclass(frozen=True)
class TypedRow:
    """One row as typed; `number` is the row that a spreadsheet shows for it."""

    number: int
    cells: tuple[str, ...]

    @property
    def text(self) -> str:
        """The row in one line."""
        cells = list(self.cells)
        while cells and not cells[-1]:
            cells.pop()
        return shortened("; ".join(cells), 240)

    def cell(self, column: int | None) -> str:
        """The text of a column, empty where the row ends before it."""
        return self.cells[column] if column is not None and column < len(self.cells) else ""


@dataclass(frozen=True)
class TypedTable:
    """A list: titles above the headings, the headings, the rows, and what was decided on the way.

    `above` is the row over the headings where it holds headings of its own, such as
    “Double” over “tuck” and “pike”. `empty_rows` were passed over. `shown` holds what a spreadsheet showed for cells
    that are formulas (row number, column from 0).
    """

    name: str
    digest: str  # SHA-256 of the bytes, in hex
    titles: tuple[str, ...]
    header: TypedRow
    rows: tuple[TypedRow, ...]
    notes: tuple[FileDecision, ...]
    empty_rows: int = 0
    above: tuple[str, ...] = ()
    shown: tuple[tuple[tuple[int, int], str], ...] = ()

    @property
    def width(self) -> int:
        """How many columns have a heading or a cell."""
        return max(len(row.cells) for row in (self.header, *self.rows))

    @property
    def headed(self) -> int:
        """How many columns there are up to the last with a heading."""
        return max((i + 1 for i, cell in enumerate(self.header.cells) if cell), default=self.width)

    def column(self, index: int) -> tuple[str, ...]:
        """The cells of one column, without the heading."""
        return tuple(row.cell(index) for row in self.rows)


def read_table(  # noqa: PLR0913 - a file, and what may be known of it
    data: bytes,
    name: str,
    *,
    encoding: str = "",
    separator: str = "",
    sheet: str = "",
    expect: Collection[str] = (),
    answers: Answers | None = None,
) -> TypedTable:
    r"""A typed list, CSV text or XLSX, as titles, headings and rows of text.

    `name` is the file's name, for the report. `encoding`, `separator` and `sheet`
    settle what is otherwise recognised; `expect` are names already in the book and
    headings of the ladder, which help to recognise encoding and headings. The answer to
    “sheet” in `answers` settles the sheet too. Raises `ListError` when the file as a
    whole cannot be read; one row never raises.

    >>> table = read_table(b"Spring camp\nName,Double tuck\nAyla Aalto,x\n", "list.csv")
    >>> table.titles, table.header.cells, table.rows[0].number
    (('Spring camp',), ('Name', 'Double tuck'), 3)
    """
    name = shortened(tidy(name), 120) or "list"
    _check_kind(data)
    expected = frozenset(fold(word) for word in expect)
    if data.startswith(b"PK"):
        grid = read_workbook(
            data,
            sheet=sheet,
            answers=answers or {},
            likeness=lambda rows: _best_header(_clean(rows), expected)[1],
        )
        notes: tuple[FileDecision, ...] = grid.notes
    else:
        decoded = decode(data, encoding=encoding, expect=expect)
        grid = split_cells(decoded.text, separator=separator)
        letters = FileDecision("encoding", "take", decoded.sentence, decoded.confidence)
        notes = (letters, *grid.notes, *_zero_note(decoded.text))
    table = _laid_out(grid, name, expected)
    return replace(table, digest=hashlib.sha256(data).hexdigest(), notes=(*notes, *table.notes))


def with_shown_values(table: TypedTable) -> TypedTable:
    r"""The same list with each formula replaced by the value that the spreadsheet showed.

    >>> with_shown_values(read_table(b"Name,Height\nAyla,140\n", "a.csv")).rows[0].cells
    ('Ayla', '140')
    """
    shown = dict(table.shown)
    rows = tuple(
        replace(row, cells=tuple(shown.get((row.number, i), cell) for i, cell in enumerate(row.cells)))
        for row in table.rows
    )
    return replace(table, rows=rows, shown=())


def settle_formulas(table: TypedTable, answers: Answers) -> tuple[TypedTable, tuple[FileDecision, ...]]:
    r"""The list with its formulas as the coach wants them; asked while she has not said it.

    >>> settle_formulas(read_table(b"Name,Height\nAyla,140\n", "a.csv"), {})[1]
    ()
    """
    totals = {row.number for row in table.rows if is_totals(next(filter(None, row.cells), ""))}
    inside = [(row, column, value) for (row, column), value in table.shown if row not in totals]
    inside = [(row, column, value) for row, column, value in inside if row > table.header.number]
    if not inside:
        return table, ()
    row, column, value = inside[0]
    typed = next(r.cell(column) for r in table.rows if r.number == row)
    sentence = (
        f"{len(inside)} cells are formulas, such as {shortened(typed, 40)!r} in row {row}, "
        f"which last showed {shortened(value, 40)!r}. They were not run."
    )
    choices = (
        Choice("shown", "take what the spreadsheet last showed"),
        Choice("typed", "leave them as formulas; rows and cells with one are asked or refused"),
    )
    decision = as_answered(FileDecision("formulas", "ask", sentence, None, choices), answers)
    return (with_shown_values(table) if decision.chosen == "shown" else table), (decision,)


def _check_kind(data: bytes) -> None:
    if len(data) > MOST_BYTES:
        raise ListError(
            f"a file of {len(data) / 1e6:,.0f} MB",
            f"a list of at most {MOST_BYTES / 1e6:.0f} MB",
            "save only the sheet with the list, without pictures",
        )
    if not data.strip(b" \t\r\n\x00"):
        raise ListError("an empty file", "a list with a row of headings", "check which file was chosen")
    for mark, found, todo in _OTHER_KINDS:
        if data.startswith(mark):
            raise ListError(found, "a list as CSV text or an XLSX spreadsheet", todo)
    head = data[:500].lstrip(b"\xef\xbb\xbf \t\r\n").lower()
    if head.startswith((b"<!doctype html", b"<html", b"<table", b"<?xml")):
        raise ListError(
            "a web page",
            "a list as CSV text or an XLSX spreadsheet",
            "open it in a spreadsheet and save it as XLSX",
        )


def _zero_note(text: str) -> tuple[FileDecision, ...]:
    zeros = text.count("\x00")
    sentence = f"{zeros} zero bytes stood in the text; they were left out."
    return (FileDecision("zero bytes", "take", sentence, 0.9),) if zeros else ()


def _clean(rows: tuple[tuple[str, ...], ...]) -> list[tuple[str, ...]]:
    return [tuple(tidy(cell) for cell in row) for row in rows]


def _laid_out(grid: Grid, name: str, expected: frozenset[str]) -> TypedTable:
    rows = _clean(grid.rows)
    while rows and not any(rows[-1]):
        rows.pop()
    if not any(c.isalnum() for row in rows for cell in row for c in cell):
        raise ListError(
            "a list without a single filled cell",
            "a row of headings and a row for each child",
            "check which file or sheet was chosen",
        )
    if len(rows) > MOST_ROWS or max(map(len, rows)) > MOST_COLUMNS:
        raise ListError(
            f"a list of {len(rows):,} rows and {max(map(len, rows)):,} columns",
            f"at most {MOST_ROWS:,} rows and {MOST_COLUMNS} columns",
            "save only the part with the list",
        )
    at, score = _best_header(rows, expected)
    titles = tuple(t for row in rows[:at] if (t := ", ".join(dict.fromkeys(filter(None, row)))))
    body = [TypedRow(n, row) for n, row in enumerate(rows[at + 1 :], start=at + 2) if any(row)]
    shown = tuple(((y, x - 1), tidy(value)) for (y, x), value in grid.shown)
    return TypedTable(
        name,
        "",
        titles,
        TypedRow(at + 1, rows[at]),
        tuple(body),
        (_header_note(at, rows[at], score), *_title_note(titles)),
        len(rows) - at - 1 - len(body),
        _row_above(rows, at),
        shown,
    )


def _row_above(rows: list[tuple[str, ...]], at: int) -> tuple[str, ...]:
    """The row over the headings, each cell standing for the empty ones after it."""
    if not at or not any(rows[at - 1][1:]):
        return ()
    above: list[str] = []
    for cell in rows[at - 1]:
        above.append(cell or (above[-1] if above else ""))
    return (*above, *[above[-1]] * (len(rows[at]) - len(above)))


def _best_header(rows: list[tuple[str, ...]], expected: frozenset[str]) -> tuple[int, int]:
    """The index of the row of headings, and how many headings it holds."""
    wanted = 1 if all(sum(map(bool, row)) < 2 for row in rows) else 2
    scores = []
    for index, row in enumerate(rows[:_SEARCHED]):
        texts = {cell for cell in row if cell}
        known = sum(is_heading(text) or fold(text) in expected for text in texts)
        if known >= wanted or any(fold(text) in ALIASES for text in texts):
            scores.append((known, -index))
    if scores:
        score, index = max(scores)
        return -index, score
    wide = [i for i, row in enumerate(rows[:_SEARCHED]) if sum(map(bool, row)) > 1]
    return (wide or [0])[0], 0


def _header_note(at: int, row: tuple[str, ...], score: int) -> FileDecision:
    filled = sum(map(bool, row))
    if not score:
        sentence = (
            f"Headings: none were recognised; row {at + 1} was taken for them. "
            "If it is a child, add a row of headings such as “Name; Double tuck” above it."
        )
        return FileDecision("headings", "ask", sentence, 0.3)
    sentence = f"Headings: row {at + 1}, {score} of {filled} recognised at sight."
    return FileDecision("headings", "take", sentence, round(0.6 + 0.39 * min(1.0, score / filled), 2))


def _title_note(titles: tuple[str, ...]) -> tuple[FileDecision, ...]:
    if not titles:
        return ()
    sentence = "Above the headings: " + "; ".join(f"“{shortened(t, 100)}”" for t in titles) + "."
    return (FileDecision("titles", "take", sentence, 1.0),)
