"""A list as CSV or XLSX that is safe to open in a spreadsheet.

A cell that a spreadsheet would run as a formula is written with an apostrophe in
front (CSV) or as plain text (XLSX). Source of the list of dangerous first
characters: OWASP, CSV Injection (equals, plus, minus, at, tab, carriage return, line
feed, the wide forms of the first four; from memory). Where semicolons, bars or tabs
divide cells, a cell can begin inside a text of ours, so the apostrophe stands there too.
"""

from __future__ import annotations

import csv
import io
import re
from dataclasses import dataclass
from datetime import date, datetime

from openpyxl import Workbook
from openpyxl.cell import WriteOnlyCell
from openpyxl.cell.cell import ILLEGAL_CHARACTERS_RE, Cell
from openpyxl.styles import Font
from openpyxl.worksheet._write_only import WriteOnlyWorksheet

Value = str | int | float | date | datetime | None
_CELL_THAT_RUNS = re.compile(r"(?:^|(?<=[;|]))(?=[\t\r\n])|(?:^|(?<=[;|\t\r\n]))(?=\s*[=+\-@＝＋－＠])")


@dataclass(frozen=True)
class ListTable:
    """One list: a name, the headings and the rows."""

    name: str
    columns: tuple[str, ...]
    rows: tuple[tuple[Value, ...], ...]
    about: str = ""


def as_csv(table: ListTable) -> bytes:
    r"""The list as CSV, in UTF-8 with a byte-order mark so that spreadsheets read accents.

    >>> as_csv(ListTable("x", ("name",), (("=cmd()",),))).decode("utf-8-sig")
    "name\r\n'=cmd()\r\n"
    """
    out = io.StringIO()
    writer = csv.writer(out)
    for row in (table.columns, *table.rows):
        writer.writerow([_safe_text(value) for value in row])
    return out.getvalue().encode("utf-8-sig")


def as_xlsx(table: ListTable) -> bytes:
    """The list as an XLSX workbook with one sheet; text is text, never a formula."""
    book = Workbook(write_only=True)
    sheet = book.create_sheet(_sheet_name(table.name))
    sheet.freeze_panes = "A2"
    sheet.append([_text_cell(sheet, column, bold=True) for column in table.columns])
    for row in table.rows:
        sheet.append([_cell(sheet, value) for value in row])
    out = io.BytesIO()
    book.save(out)
    return out.getvalue()


def _safe_text(value: Value) -> str:
    if value is None:
        return ""
    text = value.isoformat() if isinstance(value, date) else str(value)
    text = text.replace("\x00", "")
    return _CELL_THAT_RUNS.sub("'", text) if isinstance(value, str) else text


def _cell(sheet: WriteOnlyWorksheet, value: Value) -> Cell | Value:
    if isinstance(value, datetime):
        return value.replace(tzinfo=None)
    return _text_cell(sheet, value) if isinstance(value, str) else value


def _text_cell(sheet: WriteOnlyWorksheet, text: str, *, bold: bool = False) -> Cell:
    cell = WriteOnlyCell(sheet, value=ILLEGAL_CHARACTERS_RE.sub("", text))
    cell.data_type = "s"
    if bold:
        cell.font = Font(bold=True)
    return cell


def _sheet_name(name: str) -> str:
    return "".join(c for c in name if c not in "[]:*?/\\")[:31] or "list"
