"""What stands in a spreadsheet beside its values: comments on cells, hidden rows and columns."""

from __future__ import annotations

from collections.abc import Sequence

from openpyxl.comments import Comment
from openpyxl.utils import column_index_from_string, get_column_letter
from openpyxl.worksheet.worksheet import Worksheet

from loftbook.book.typed.decisions import FileDecision
from loftbook.book.typed.words import shortened, tidy

MOST_ROWS, MOST_COLUMNS = 5_000, 200  # of a list
Rows = tuple[tuple[str, ...], ...]
Comments = tuple[tuple[tuple[int, int], str], ...]
_LONGEST = 240  # letters of a comment that are kept
_SHARED = 50  # cells; a comment on a larger merged area counts for its first cell only


def comments_of(ws: Worksheet, rows: Rows) -> Comments:
    """The comments on the cells `rows`, by row and column from 1; one on merged cells counts for each of them."""
    found: dict[tuple[int, int], str] = {}
    for y, row in enumerate(ws.iter_rows(1, len(rows), 1, max(map(len, rows), default=1)), start=1):
        for x, cell in enumerate(row, start=1):
            if cell.comment and (text := _words(cell.comment)):
                found[y, x] = text
    for area in ws.merged_cells.ranges:
        text = found.get((area.min_row, area.min_col), "")
        if text and area.size["rows"] * area.size["columns"] <= _SHARED:
            found |= {(int(y), int(x)): text for y, x in area.cells}
    return tuple(sorted(found.items()))


def comment_note(comments: Comments) -> tuple[FileDecision, ...]:
    """One sentence that names the comments of a sheet."""
    if not comments:
        return ()
    named = [f"{get_column_letter(x)}{y} “{shortened(text, 60)}”" for (y, x), text in comments]
    many = f"{len(comments)} cells carry a comment" if len(comments) > 1 else "1 cell carries a comment"
    sentence = (
        f"Comments: {many} ({_some(named)}). In a camp list a comment on a mark becomes the note of its turn, or "
        "makes it a question; all other comments are only named here."
    )
    return (FileDecision("comments", "take", sentence, 1.0),)


def hidden_notes(ws: Worksheet, rows: Rows) -> tuple[FileDecision, ...]:
    """A sentence each on hidden rows and columns that hold something: they are read like the others."""
    hidden = {number for number, row in ws.row_dimensions.items() if row.hidden}
    high = [str(y) for y, row in enumerate(rows, start=1) if y in hidden and any(row)]
    columns: set[int] = set()
    for letters, column in ws.column_dimensions.items():
        if column.hidden:
            first = column.min or column_index_from_string(letters)
            columns |= set(range(first, min(column.max or first, MOST_COLUMNS) + 1))
    filled = {x for row in rows for x, cell in enumerate(row, start=1) if cell}
    wide = [get_column_letter(x) for x in sorted(columns & filled)]
    return tuple(
        FileDecision(f"hidden {what}", "take", f"Hidden {what} ({_some(which)}): read like the others.", 0.8)
        for what, which in (("rows", high), ("columns", wide))
        if which
    )


def _words(comment: Comment) -> str:
    """What a comment says, without its author and what the spreadsheet adds of its own."""
    text = str(comment.text or "")
    if text.startswith("[Threaded comment]"):
        text = text.partition("Comment:")[2] or text
    author = f"{comment.author}:"
    text = text[len(author) :] if comment.author and text.startswith(author) else text
    return shortened(tidy(text), _LONGEST)


def _some(named: Sequence[str]) -> str:
    return ", ".join(named[:8]) + (f" and {len(named) - 8} more" if len(named) > 8 else "")
