"""A spreadsheet (XLSX, XLSM) as rows of cells: values only, nothing is ever run.

Before anything is unpacked its size is looked at, so that a small file that unpacks
to gigabytes is turned away. Formulas are shown as they are typed, beside the value
that the spreadsheet last showed.
"""

from __future__ import annotations

import io
import re
import warnings
import zipfile
from collections.abc import Callable
from datetime import date, datetime, time
from typing import Any

import openpyxl
from openpyxl.utils import column_index_from_string
from openpyxl.worksheet.worksheet import Worksheet

from loftbook.book.typed.decisions import Answers, Choice, FileDecision, answer_to
from loftbook.book.typed.separated import Grid
from loftbook.book.typed.words import shortened
from loftbook.errors import ListError

MOST_UNPACKED = 60_000_000  # bytes, the whole file
MOST_SHEET = 10_000_000  # bytes of one part; read in about three seconds
MOST_PARTS = 2_000
MOST_ROWS, MOST_COLUMNS = 5_000, 200
_AREA = re.compile(
    rb"<(?:\w+:)?(?:mergeCell|hyperlink)\b[^>]*?\bref\s*=\s*[\"']\$?([A-Z]{1,3})\$?(\d{1,7}):\$?([A-Z]{1,3})\$?(\d{1,7})"
)
_NO_ANSWERS: Answers = {}
_SAVE_AGAIN = "open it in a spreadsheet and save it again as XLSX or CSV"


def read_workbook(
    data: bytes,
    *,
    sheet: str = "",
    answers: Answers = _NO_ANSWERS,
    likeness: Callable[[tuple[tuple[str, ...], ...]], int],
) -> Grid:
    """The sheet that looks most like a list, as rows of cells.

    `likeness` says how many headings of a list the rows hold; `sheet`, or the answer to
    the decision of that id, settles the sheet by its name. Raises `ListError` for a
    damaged, huge or other kind of file, and for a `sheet` that is not there.
    """
    names = _checked_parts(data)
    book = _opened(data, formulas=True)
    sheets = {ws.title: ws for ws in book.worksheets}
    if not sheets:
        raise ListError("a spreadsheet without a sheet of cells", "a sheet with a list", _SAVE_AGAIN)
    choices = tuple(Choice(name.strip(), f"the sheet “{shortened(name.strip(), 60)}”") for name in sheets)
    told = answer_to({"sheet": sheet.strip()} if sheet else answers, "sheet", choices)
    if sheet and not told:
        there = ", ".join(sheets)
        raise ListError(f"no sheet called {shortened(sheet, 60)!r}", f"one of {there}", "name one of these")
    grids = {name: _cells(ws) for name, ws in sheets.items() if not told or name.strip() == told}
    order = list(grids)
    visible = {name: sheets[name].sheet_state == "visible" for name in order}
    best = max(order, key=lambda n: (likeness(grids[n][0]), visible[n], any(grids[n][0]), -order.index(n)))
    rows, formulas = grids[best]
    likely = {n: likeness(grids[n][0]) for n in order}
    notes = [
        _sheet_note(best, likely, choices, told=told),
        *_merge_notes(sheets[best]),
        *_size_notes(sheets[best]),
    ]
    if any("vbaProject" in name for name in names):
        sentence = "The file holds macros. They were not run; only values were read."
        notes.append(FileDecision("macros", "take", sentence, 1.0))
    shown = _shown_values(data, best, formulas) if formulas else ()
    return Grid(rows, tuple(notes), shown, best)


def _checked_parts(data: bytes) -> list[str]:
    try:
        with zipfile.ZipFile(io.BytesIO(data)) as packed:
            parts = packed.infolist()
            kind = packed.read("mimetype")[:80] if "mimetype" in packed.namelist() else b""
    except Exception as error:  # the zip reader raises many kinds on a damaged file
        raise ListError(
            "a damaged spreadsheet: the end of it is missing",
            "a whole XLSX file",
            "copy the file again, or " + _SAVE_AGAIN,
        ) from error
    if b"opendocument" in kind:
        raise ListError("an OpenDocument file", "XLSX or CSV", "save the list as XLSX or CSV")
    names = [part.filename for part in parts]
    if not any(name.startswith("xl/") for name in names):
        raise ListError("a packed file that is no spreadsheet", "XLSX or CSV", _SAVE_AGAIN)
    texts = [p for p in parts if p.filename.lower().endswith((".xml", ".rels"))]
    whole = sum(part.file_size for part in parts)
    if len(parts) > MOST_PARTS or whole > MOST_UNPACKED or any(p.file_size > MOST_SHEET for p in texts):
        raise ListError(
            f"a spreadsheet that unpacks to {whole / 1e6:.0f} MB",
            f"at most {MOST_SHEET / 1e6:.0f} MB a sheet",
            "copy the rows of the list into a new spreadsheet and save that",
        )
    _check_areas(data, [p.filename for p in texts if p.filename.startswith("xl/worksheets/")])
    return names


def _check_areas(data: bytes, sheets: list[str]) -> None:
    """Turns away merged cells and links that cover millions of cells: they fill the memory."""
    cells = 0
    for name in sheets:
        try:
            with zipfile.ZipFile(io.BytesIO(data)) as packed:
                text = packed.read(name)
        except Exception as error:  # as above
            raise ListError("a damaged spreadsheet", "a whole XLSX file", _SAVE_AGAIN) from error
        if text[:2] in (b"\xff\xfe", b"\xfe\xff") or text[1:2] == b"\x00" or text[:1] == b"\x00":
            raise ListError("a spreadsheet in an encoding that none writes", "UTF-8 inside", _SAVE_AGAIN)
        for area in _AREA.finditer(text):
            left, top, right, bottom = (part.decode() for part in area.groups())
            wide = column_index_from_string(right) - column_index_from_string(left) + 1
            cells += max(wide, 0) * max(int(bottom) - int(top) + 1, 0)
    if cells > MOST_ROWS * MOST_COLUMNS:
        raise ListError(
            f"merged cells or links over {cells:,} cells",
            "those of a list",
            "undo the merging of whole columns and save it again",
        )


def _opened(data: bytes, *, formulas: bool) -> openpyxl.Workbook:
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")
            return openpyxl.load_workbook(io.BytesIO(data), data_only=not formulas, keep_links=False)
    except Exception as error:  # a damaged or hostile file may break the reader anywhere
        raise ListError("a spreadsheet that cannot be read", "a whole XLSX file", _SAVE_AGAIN) from error


def _cells(ws: Worksheet) -> tuple[tuple[tuple[str, ...], ...], tuple[tuple[int, int], ...]]:
    """The cells as text, merged ones filled, and where the formulas are (row, column from 1)."""
    last_row, last_column = min(ws.max_row, MOST_ROWS), min(ws.max_column, MOST_COLUMNS)
    rows: list[list[str]] = []
    formulas = []
    for y, row in enumerate(ws.iter_rows(1, last_row, 1, last_column), start=1):
        rows.append([as_text(cell.value) for cell in row])
        formulas += [(y, x) for x, cell in enumerate(row, start=1) if cell.data_type == "f"]
    for area in ws.merged_cells.ranges:
        right, bottom = min(area.max_col, last_column), min(area.max_row, last_row)
        if area.min_col > right or area.min_row > bottom or right - area.min_col + 1 >= last_column > 1:
            continue  # outside, or a title across the whole sheet
        value = rows[area.min_row - 1][area.min_col - 1]
        for y in range(area.min_row, bottom + 1):
            rows[y - 1][area.min_col - 1 : right] = [value] * (right - area.min_col + 1)
    return tuple(tuple(row) for row in rows), tuple(formulas)


def as_text(value: object) -> str:
    """A spreadsheet's value as a person would type it.

    >>> as_text(159.0), as_text(datetime(2014, 10, 26)), as_text(None)
    ('159', '2014-10-26', '')
    """
    if value is None:
        return ""
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, float):
        return str(int(value)) if value.is_integer() and abs(value) < 1e15 else repr(value)
    if isinstance(value, datetime):
        return value.date().isoformat() if value.time() == time() else value.isoformat(sep=" ")
    if isinstance(value, date):
        return value.isoformat()
    text: Any = getattr(value, "text", value)  # an array formula carries its text
    return str(text)


def _shown_values(
    data: bytes, sheet: str, formulas: tuple[tuple[int, int], ...]
) -> tuple[tuple[tuple[int, int], str], ...]:
    ws = _opened(data, formulas=False)[sheet]
    return tuple(((y, x), as_text(ws.cell(y, x).value)) for y, x in formulas)


def _sheet_note(
    best: str, likeness: dict[str, int], choices: tuple[Choice, ...], *, told: str
) -> FileDecision:
    """Which sheet was read, and which were not; any of them can be chosen."""
    if len(choices) == 1:
        return FileDecision("sheet", "take", f"Sheet: “{best}”, the only one.", 1.0)
    others = ", ".join(f"“{choice.key}”" for choice in choices if choice.key != best.strip())
    if told:
        sentence = f"Sheet: “{best}”, as you said; not read: {others}."
        return FileDecision("sheet", "take", sentence, None, choices, told)
    rivals = [n for n in likeness if n != best and likeness[n] and likeness[n] >= likeness[best]]
    sentence = f"Sheet: “{best}”, which looks most like a list; not read: {others}."
    if rivals:
        also, verb = ", ".join(f"“{n}”" for n in rivals), "look" if len(rivals) > 1 else "looks"
        sentence += f" {also} {verb} like a list too: read the file again for it, with its sheet named."
    return FileDecision("sheet", "take", sentence, 0.6 if rivals else 0.9, choices)


def _merge_notes(ws: Worksheet) -> list[FileDecision]:
    areas = [str(area) for area in ws.merged_cells.ranges]
    if not areas:
        return []
    listed = ", ".join(areas[:6]) + (" …" if len(areas) > 6 else "")
    sentence = f"Merged cells ({listed}): what stands in one counts for each cell of it."
    return [FileDecision("merged cells", "take", sentence, 0.8)]


def _size_notes(ws: Worksheet) -> list[FileDecision]:
    notes = []
    if ws.max_row > MOST_ROWS:
        sentence = (
            f"The sheet goes on to row {ws.max_row:,}, perhaps only as formatting; "
            f"rows after {MOST_ROWS:,} were not read."
        )
        notes.append(FileDecision("row limit", "skip", sentence))
    if ws.max_column > MOST_COLUMNS:
        sentence = f"The sheet has {ws.max_column:,} columns; those after {MOST_COLUMNS} were not read."
        notes.append(FileDecision("column limit", "skip", sentence))
    return notes
