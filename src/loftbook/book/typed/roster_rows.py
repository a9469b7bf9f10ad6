"""What one row of a roster says of a child, cell by cell, before it is asked who she is."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass, field
from datetime import date

from loftbook.book.typed.columns import Column, index_of
from loftbook.book.typed.dates import DateReading, Order, read_date
from loftbook.book.typed.heights import HeightReading, read_height, unit_in_heading
from loftbook.book.typed.names import NameReading, name_from_columns, read_name
from loftbook.book.typed.table import TypedRow
from loftbook.book.typed.words import fold, is_formula, shortened
from loftbook.ladder.scales import TwistSide

_EMAIL = re.compile(r"[^@\s,;<>\"']+@[^@\s,;<>\"']+\.[^@\s,;<>\"'.]+")
_SIDES = {
    TwistSide.LEFT: "left l lft links li gauche g gche izquierda izq i sinistra",
    TwistSide.RIGHT: "right r rt rgt rechts re droite d dr dte derecha der dcha destra",
}
_SIDE = {word: side for side, words in _SIDES.items() for word in words.split()}
# A bare cross is in neither: it means yes to some and no to others, and consent is never guessed.
_YES = frozenset("yes y ja j oui o si sí s ok 1 true allowed ✓ ✔".split())
_NO = frozenset("no n nein non 0 false never ✗ ✘".split()) | {"not allowed"}


@dataclass(frozen=True)
class RosterRow:
    """One row of a roster. What is blank is None or empty; `problems` are cells that cannot be read."""

    number: int
    text: str
    source: str  # "list <file> row 5"
    name: NameReading
    born: DateReading | None = None
    club: str = ""
    coach_name: str = ""
    coach_email: str = ""
    side: TwistSide | None = None
    height: HeightReading = field(default_factory=HeightReading)
    filming: bool | None = None
    problems: tuple[tuple[str, str], ...] = ()  # (what, sentence)


def name_in_row(row: TypedRow, columns: tuple[Column, ...], *, family_first: bool) -> NameReading:
    """The name that a row tells, from one column or from two."""
    whole = index_of(columns, "name")
    given, family = index_of(columns, "given"), index_of(columns, "family")
    if whole is not None and not row.cell(given) and not row.cell(family):
        return read_name(row.cell(whole), family_first=family_first)
    return name_from_columns(row.cell(given), row.cell(family))


def read_roster_row(
    row: TypedRow, columns: tuple[Column, ...], *, source: str, today: date, order: Order, family_first: bool
) -> RosterRow:
    """One row of a roster, read cell by cell; a cell that cannot be read spoils no other."""
    cells = {c.meaning: row.cell(c.index).strip() for c in columns if c.meaning}
    headings = {c.meaning: c.heading for c in columns}
    height = HeightReading()
    if cells.get("height", "") not in ("", "-"):
        height = read_height(cells["height"], unit=unit_in_heading(headings["height"]))
    born = cells.get("born", "")
    return RosterRow(
        number=row.number,
        text=row.text,
        source=source,
        name=name_in_row(row, columns, family_first=family_first),
        born=read_date(born, today=today, order=order) if born not in ("", "-", "?") else None,
        club=_text(cells, "club"),
        coach_name=_text(cells, "coach_name"),
        coach_email=email if _EMAIL.fullmatch(email := _text(cells, "coach_email")) else "",
        side=_SIDE.get(fold(cells.get("twist", ""))),
        height=height,
        filming=_filming(cells.get("consent", "")),
        problems=(*_problems(cells), *((("height", height.problem),) if height.problem else ())),
    )


def _text(cells: dict[str, str], meaning: str) -> str:
    text = cells.get(meaning, "")
    return "" if is_formula(text) or text == "-" else text


def _filming(text: str) -> bool | None:
    code = text.casefold().strip(" .!")
    return True if code in _YES else False if code in _NO else None


def _problems(cells: dict[str, str]) -> Iterator[tuple[str, str]]:
    for meaning in ("club", "coach_name", "coach_email"):
        if is_formula(cells.get(meaning, "")):
            yield meaning, f"the {meaning.replace('_', ' ')} is a formula, {shortened(cells[meaning], 40)}"
    email = _text(cells, "coach_email")
    if email and not _EMAIL.fullmatch(email):
        yield "e-mail", f"“{shortened(email, 40)}” is not one e-mail address"
    twist = cells.get("twist", "")
    if twist not in ("", "-", "?") and fold(twist) not in _SIDE:
        todo = (
            "write the side of each skill on her page"
            if fold(twist) in ("both", "l r", "lr")
            else "write left or right"
        )
        yield "twist side", f"“{shortened(twist, 30)}” is not one side; {todo}"
    consent = cells.get("consent", "")
    if consent not in ("", "-", "?") and _filming(consent) is None:
        yield "filming", f"“{shortened(consent, 30)}” is neither yes nor no, so it counts as not said"
