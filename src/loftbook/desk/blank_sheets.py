"""Sheets to be filled by hand, printed and typed in again."""

from __future__ import annotations

from dataclasses import dataclass
from uuid import UUID

from loftbook.book.paper import TypedSheet, Unread, entries_of
from loftbook.desk import Desk
from loftbook.desk.entry import Written, write_entries
from loftbook.desk.plan import camp_plan
from loftbook.errors import Refused
from loftbook.reports.page import Page
from loftbook.reports.pdf import write_pdf
from loftbook.reports.sheets.blank.compose import BlankFacts, compose


def blank_sheet(desk: Desk, camp_id: UUID) -> Page:
    """The blank sheet of a camp as a page, in the running order of its plan."""
    planned = camp_plan(desk, camp_id)
    people = tuple((a.id, a.name.full, planned.bibs.get(a.id, "")) for a in planned.athletes)
    return compose(BlankFacts(planned.camp, desk.ladder, planned.plan, people, desk.clock().date()))


def blank_pdf(desk: Desk, camp_id: UUID, *, paper: str = "a4") -> bytes:
    """The same sheet as PDF."""
    return write_pdf(blank_sheet(desk, camp_id), paper, made=desk.clock().replace(microsecond=0))


@dataclass(frozen=True)
class SheetTyped:
    """What became of a typed sheet: written, or which places must be typed again (then nothing was)."""

    written: tuple[Written, ...]
    unread: tuple[Unread, ...]


def type_in(desk: Desk, sheet: TypedSheet) -> SheetTyped:
    """Writes a filled sheet into the book, all of it or nothing; the same sheet twice is written once."""
    planned = camp_plan(desk, sheet.camp)
    if not planned.camp.contains(sheet.day):
        raise Refused(
            f"the day {sheet.day}",
            f"a day of the camp, {planned.camp.starts} to {planned.camp.ends}",
            "correct the day",
        )
    entries, unread = entries_of(sheet)
    if unread:
        return SheetTyped((), unread)
    alone = {who for who, note in sheet.notes.items() if note.strip()} - {entry.athlete for entry in entries}
    name = next((a.name.full for a in planned.athletes if a.id in alone), "")
    if name:
        raise Refused(
            f"a note about {name} and no mark",
            "a mark that it belongs to",
            "type her mark, or empty the note",
        )
    if not entries:
        raise Refused("an empty sheet", "at least one mark", "type the marks from the paper")
    with desk.store.write():
        written = write_entries(desk, entries)
        wrong = next((one for one in written if one.status in ("refused", "conflict")), None)
        if wrong is not None:
            raise Refused(
                wrong.why or "a sheet that was sent before with other marks, and stands in the book"
            )
    return SheetTyped(written, ())
