"""What rosters and camp lists have in common: order of names, rows of totals, empty rows."""

from __future__ import annotations

from dataclasses import replace

from loftbook.book.typed.columns import Column
from loftbook.book.typed.decisions import Answers, Choice, FileDecision, RowDecision, as_answered
from loftbook.book.typed.headings import ALIASES, is_heading
from loftbook.book.typed.legend import is_legend
from loftbook.book.typed.names import GUESSED
from loftbook.book.typed.roster_rows import name_in_row
from loftbook.book.typed.table import TypedRow, TypedTable
from loftbook.book.typed.words import fold, is_totals


def name_order(
    table: TypedTable, columns: tuple[Column, ...], answers: Answers
) -> tuple[bool, tuple[FileDecision, ...]]:
    """Whether names without comma and capitals have the family name first; first name first unless told."""
    names = [
        name_in_row(row, columns, family_first=False) for row in table.rows if not is_passed_over(row, table)
    ]
    lost = [name.full for name in names if name.lost]
    notes: tuple[FileDecision, ...] = ()
    if lost:
        many = f"{len(lost)} names carry" if len(lost) > 1 else "1 name carries"
        sentence = (
            f"Lost letters: {many} a ? where an earlier save could not hold a letter (“{lost[0]}”); "
            "any letter is allowed in its place when names are matched."
        )
        notes = (FileDecision("lost letters", "take", sentence, 0.9),)
    guessed = [name.full for name in names if name.how == GUESSED]
    if not guessed:
        return False, notes
    sentence = (
        f"Names without comma or capitals ({len(guessed)}, such as “{guessed[0]}”) are read first name first."
    )
    choices = (Choice("given", "first name first"), Choice("family", "family name first"))
    decision = as_answered(FileDecision("name order", "take", sentence, 0.8, choices), answers)
    return decision.chosen == "family", (*notes, decision)


def is_passed_over(row: TypedRow, table: TypedTable) -> bool:
    """True for a row of totals, a legend, and headings that are repeated further down."""
    return is_totals(_first(row)) or is_legend(row) or _is_repeated(row, table)


def _first(row: TypedRow) -> str:
    return next(filter(None, row.cells), "")


def _is_repeated(row: TypedRow, table: TypedTable) -> bool:
    return [fold(c) for c in row.cells if c] == [fold(c) for c in table.header.cells if c]


def passed_over(row: TypedRow) -> RowDecision:
    """The decision about such a row."""
    sentence = "the headings again, passed over."
    if is_totals(_first(row)):
        sentence = "a row of totals, passed over."
    elif is_legend(row):
        sentence = "a legend, which says what marks mean; no child."
    return RowDecision(f"row {row.number}", row.number, row.text, "skip", sentence)


def first_part(table: TypedTable) -> tuple[TypedTable, tuple[RowDecision, ...]]:
    """The rows that stand under the headings of the list, and a refusal for each under others further down.

    Two lists in one sheet often have their columns in another order; marks and names
    must not be read under the headings of the first.
    """
    mine, strays, under = [], [], 0
    for row in table.rows:
        if _has_other_headings(row, table):
            under = row.number
            sentence = (
                "other headings than those of the list; neither they nor the rows under them were read. "
                "Save that part as a list of its own and import it too."
            )
        elif is_passed_over(row, table):
            under = 0 if _is_repeated(row, table) else under
            mine.append(row)
            continue
        elif not under:
            mine.append(row)
            continue
        else:
            sentence = f"it stands under the other headings in row {under}, and was not read."
        strays.append(RowDecision(f"row {row.number}", row.number, row.text, "refuse", sentence))
    return (replace(table, rows=tuple(mine)), tuple(strays)) if strays else (table, ())


def _has_other_headings(row: TypedRow, table: TypedTable) -> bool:
    filled = [cell for cell in row.cells if cell]
    known = sum(is_heading(cell) for cell in filled)
    if known < 2 or 2 * known <= len(filled) or is_passed_over(row, table):
        return False
    return any(ALIASES.get(fold(cell)) in ("name", "given", "family") for cell in filled)


def form_notes(table: TypedTable, *, named: bool) -> tuple[FileDecision, ...]:
    """What there is to say of a list without names, without rows, or with empty rows."""
    notes = []
    if not named:
        sentence = "No column holds names, so no row was read. Say which column is the name."
        notes.append(FileDecision("names", "refuse", sentence))
    if not table.rows:
        notes.append(FileDecision("rows", "refuse", "There is no row under the headings."))
    if table.empty_rows:
        many = "row was" if table.empty_rows == 1 else "rows were"
        notes.append(FileDecision("empty rows", "take", f"{table.empty_rows} empty {many} passed over.", 1.0))
    return tuple(notes)
