"""The marks of one row of a camp list, rung by rung, with the comments on their cells."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from loftbook.book.typed.codes import CodeBook, choices_of_meaning
from loftbook.book.typed.columns import Column
from loftbook.book.typed.decisions import Answers, Choice, answer_to
from loftbook.book.typed.marks import MEANINGS, NOTHING, Meaning, known_code, mark_code
from loftbook.book.typed.table import TypedRow
from loftbook.book.typed.words import fold, is_formula, shortened

_LEAST = 3  # letters; shorter words of a comment are no marks
_LONGEST = 4  # words of a mark


@dataclass(frozen=True)
class Cell:
    """The marks of one rung in a row: all its turns, or None while one of them is asked.

    `notes` are the comments on them, one a turn, empty where there is none.
    """

    rung: str
    text: str
    turns: tuple[Meaning, ...] | None
    notes: tuple[str, ...] = ()
    choices: tuple[Choice, ...] = ()
    chosen: str = ""
    comment: str = ""  # of a mark that is asked


def cells_of(
    row: TypedRow,
    rungs: Sequence[Column],
    codes: CodeBook,
    *,
    answers: Answers,
    comments: Mapping[tuple[int, int], str],
) -> list[Cell]:
    """The marks of a row, rung by rung; two columns of one rung are its turns.

    `comments` are those of the list, by row number and column. A comment that speaks of
    help or of how the turn ended, otherwise than its mark, makes the mark a question.
    """
    cells: dict[str, Cell] = {}
    for column in rungs:
        before = cells.get(column.rung, Cell(column.rung, "", ()))
        comment = comments.get((row.number, column.index), "")
        read = _cell(row, column, codes, answers, comment)
        whole = None if read.turns is None or before.turns is None else (*before.turns, *read.turns)
        cells[column.rung] = Cell(
            column.rung,
            " | ".join(filter(None, (before.text, read.text))),
            whole,
            (*before.notes, *read.notes),
            before.choices or read.choices,
            before.chosen or read.chosen,
            before.comment or read.comment,
        )
    return list(cells.values())


def why_asked(cell: Cell) -> str:
    """What is asked of a mark."""
    text = shortened(cell.text, 40)
    beside = f" A comment on the cell says “{shortened(cell.comment, 80)}”." if cell.comment else ""
    if is_formula(cell.text):
        return f"the cell is a formula, {text}, which was not run. What does it mean?{beside}"
    return f"what does {text!r} mean?{beside}"


def _cell(row: TypedRow, column: Column, codes: CodeBook, answers: Answers, comment: str) -> Cell:
    text = row.cell(column.index)
    turns = codes.turns(text)
    doubts = _spoken_of(comment, turns or ()) if text else ()
    if turns is not None and not doubts:
        return Cell(column.rung, text, turns, (comment,) * len(turns))
    usual = tuple(key for key, meaning in MEANINGS.items() if turns == (meaning,))
    choices = choices_of_meaning((*doubts, *usual))
    chosen = answer_to(answers, f"row {row.number} {column.rung}", choices)
    told = None if not chosen else () if chosen == NOTHING else (MEANINGS[chosen],)
    return Cell(column.rung, text, told, (comment,) * len(told or ()), choices, chosen, comment)


def _spoken_of(comment: str, turns: Sequence[Meaning]) -> tuple[str, ...]:
    """The meanings that a comment names and its mark does not: “with hand spot” on a tick."""
    words, found = fold(comment).split(), list[str]()
    while words:
        for many in range(min(_LONGEST, len(words)), 0, -1):
            said = " ".join(words[:many])
            key = known_code(mark_code(said)) if len(said) >= _LEAST else ""
            if key:
                break
        found += [key] if key else []
        words = words[many if key else 1 :]
    return tuple(dict.fromkeys(key for key in found if key != "alone" and MEANINGS[key] not in turns))
