"""A text list as rows of cells: which sign stands between the columns, and what the quotes mean."""

from __future__ import annotations

import csv
import io
import re
from collections import Counter
from dataclasses import dataclass

from loftbook.book.typed.decisions import FileDecision
from loftbook.errors import ListError

SEPARATORS = {";": "semicolons", ",": "commas", "\t": "tabs", "|": "upright strokes"}
_LONGEST_CELL = 2_000  # characters; a longer one is a quote mark that was never closed
_LONGEST_RECORD = 20  # lines in one cell


@dataclass(frozen=True)
class Grid:
    """The cells of a list as typed, row 1 first, with what was decided to get them.

    `shown` holds, for cells that are spreadsheet formulas, the value that the
    spreadsheet last showed, `comments` the comments on cells; keys are (row, column),
    both from 1.
    """

    rows: tuple[tuple[str, ...], ...]
    notes: tuple[FileDecision, ...]
    shown: tuple[tuple[tuple[int, int], str], ...] = ()
    sheet: str = ""
    comments: tuple[tuple[tuple[int, int], str], ...] = ()


def split_cells(text: str, *, separator: str = "") -> Grid:
    r"""The rows and cells of a text list.

    Rows are counted as a spreadsheet counts them, empty lines included. `separator`
    settles the sign from outside.

    >>> split_cells("Name;Height\nAyla;1,40 m\n").rows[1]
    ('Ayla', '1,40 m')
    """
    text = text.replace("\x00", "").replace("\r\n", "\n").replace("\r", "\n")
    told = re.match(r"sep=([;,\t|])\n", text)
    if told:
        text = "\n" + text[told.end() :]  # the line is kept as an empty one, so that rows keep their numbers
        separator = separator or told[1]
    if separator and separator not in SEPARATORS:
        raise ListError(f"the separator {separator!r}", "one of ; , tab |", "name one of these, or none")
    sign, confidence = (separator, 1.0) if separator else _most_regular(text)
    rows, quotes = _records(text, sign)
    notes = (_separator_note(sign, confidence, told=bool(separator)), *quotes)
    return Grid(tuple(rows), notes)


def _separator_note(sign: str, confidence: float, *, told: bool) -> FileDecision:
    if sign == "\n":
        return FileDecision("separator", "take", "One column: nothing stands between columns.", confidence)
    how = "as the file says" if told else f"{confidence:.0%}"
    return FileDecision("separator", "take", f"Columns: divided by {SEPARATORS[sign]} ({how}).", confidence)


def _most_regular(text: str) -> tuple[str, float]:
    """The sign that gives most lines one and the same number of columns, and their share."""
    best, most, share = "\n", (0, 0), 1.0
    lines = text[:200_000].split("\n")[:400]
    for sign in SEPARATORS:
        try:
            rows, _ = _records("\n".join(lines), sign)
        except ListError:
            continue
        counts = Counter(len(row) for row in rows if any(cell.strip() for cell in row))
        wide = [(n, width) for width, n in counts.items() if width > 1]
        if wide and max(wide) > most:
            most, best = max(wide), sign
            share = most[0] / sum(counts.values())
    return best, round(min(0.99, 0.5 + share / 2), 2)


def _records(text: str, sign: str) -> tuple[list[tuple[str, ...]], tuple[FileDecision, ...]]:
    if sign == "\n":
        return [(line.strip('"'),) for line in text.split("\n")], ()
    try:
        rows = [tuple(row) for row in csv.reader(io.StringIO(text, newline=""), delimiter=sign)]
    except csv.Error:
        rows = [("x" * (_LONGEST_CELL + 1),)]
    if not any(len(c) > _LONGEST_CELL or c.count("\n") > _LONGEST_RECORD for row in rows for c in row):
        return (rows, ()) if not _swallowed(rows, sign) else _line_by_line(text, sign)
    lines = csv.reader(io.StringIO(text, newline=""), delimiter=sign, quoting=csv.QUOTE_NONE)
    try:
        rows = [tuple(row) for row in lines]
    except csv.Error as error:
        raise ListError(
            "a cell longer than a page",
            "short cells, one child a row",
            "open the list in a spreadsheet and save it as CSV or XLSX",
        ) from error
    sentence = (
        "A quote mark is never closed; quote marks were read as plain signs, so that no row is swallowed."
    )
    return rows, (FileDecision("quotes", "take", sentence, 0.8),)


def _swallowed(rows: list[tuple[str, ...]], sign: str) -> bool:
    """Whether a cell of several lines holds a line with as many signs as a whole row has."""
    broken = [c for row in rows for c in row if "\n" in c]
    if not broken:
        return False
    usual = Counter(len(row) for row in rows if len(row) > 1).most_common(1)
    signs = max(usual[0][0] - 1, 2) if usual else 2
    return any(line.count(sign) >= signs for cell in broken for line in cell.split("\n"))


def _line_by_line(text: str, sign: str) -> tuple[list[tuple[str, ...]], tuple[FileDecision, ...]]:
    """Each line as a row of its own; in one with an odd number of quote marks they are plain signs."""
    rows, odd = [], []
    for number, line in enumerate(text.split("\n"), start=1):
        plain = line.count('"') % 2 == 1
        odd += [str(number)] if plain else []
        read = csv.reader([line], delimiter=sign, quoting=csv.QUOTE_NONE if plain else csv.QUOTE_MINIMAL)
        rows.append(tuple(next(read, [])))
    sentence = (
        f"A quote mark is never closed (line {', '.join(odd[:4])}); each line was read as a row of its own, so that "
        "no row is swallowed."
    )
    return rows, (FileDecision("quotes", "take", sentence, 0.8),)
