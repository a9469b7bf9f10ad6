"""Fill a book with the invented squad: two camps from typed lists, two from entries."""

from __future__ import annotations

from collections.abc import Callable
from datetime import UTC, datetime, time, timedelta
from pathlib import Path
from uuid import UUID

from loftbook.book.entries import Entry
from loftbook.book.identity import same_fact
from loftbook.book.people import Athlete, Camp
from loftbook.desk import Desk
from loftbook.desk.demo.lists import camp_list, roster
from loftbook.desk.demo.scenario import CAMPS, Turn, squad, turns
from loftbook.desk.entry import write_entries
from loftbook.desk.importing import read_camp_file, read_roster_file
from loftbook.desk.opening import open_desk, utc_now
from loftbook.desk.people import all_athletes, make_camp
from loftbook.errors import BookFileError, LoftbookError

RATER = "H. Alder"
_AFTER = datetime(2026, 10, 18, 18, tzinfo=UTC)  # the evening after the last invented camp
_TYPED = 2  # so many camps come from typed lists


def build_demo(folder: Path, *, say: Callable[[str], object]) -> Desk:
    """Makes the demonstration book anew in a folder and returns its desk.

    Lists, reports of the import and the book lie in the folder afterwards. A book
    there that holds anybody who is not invented is left alone with a sentence.
    """
    folder.mkdir(parents=True, exist_ok=True)
    desk = _empty_book(folder / "demo.book")
    say("Loftbook demo. Everybody and everything in it is invented.")
    _import_roster(desk, folder, say)
    for number in range(_TYPED):
        _import_list(desk, folder, number, say)
    for number in range(_TYPED, len(CAMPS)):
        _enter_camp(desk, number, say)
    return desk


def _clock() -> datetime:
    return max(utc_now(), _AFTER)


def _empty_book(file: Path) -> Desk:
    if file.exists():
        desk = open_desk(file, clock=_clock)
        strangers = [a for a in all_athletes(desk) if not a.invented]
        desk.store.close()
        if strangers:
            raise BookFileError(
                f"{file.name} with {len(strangers)} people who are not invented",
                "a demo book",
                "choose another folder with --to",
            )
        for part in (file, *(file.with_name(file.name + end) for end in ("-wal", "-shm"))):
            part.unlink(missing_ok=True)
    return open_desk(file, clock=_clock)


def _import_roster(desk: Desk, folder: Path, say: Callable[[str], object]) -> None:
    data = roster()
    (folder / "roster.csv").write_bytes(data)
    report = read_roster_file(desk, data, "roster.csv", invented=True, write=True)
    (folder / "roster-report.md").write_text(report.as_markdown(), encoding="utf-8")
    say(f"roster.csv: {len(all_athletes(desk))} gymnasts; the report is roster-report.md")


def _import_list(desk: Desk, folder: Path, number: int, say: Callable[[str], object]) -> None:
    name = f"camp-{number + 1}.csv"
    data = camp_list(number)
    (folder / name).write_bytes(data)
    report = read_camp_file(desk, data, name, invented=True, write=True)
    (folder / f"camp-{number + 1}-report.md").write_text(report.as_markdown(), encoding="utf-8")
    say(f"{name}: read into the book; the report is camp-{number + 1}-report.md")


def _enter_camp(desk: Desk, number: int, say: Callable[[str], object]) -> None:
    title, starts, bed = CAMPS[number]
    camp = make_camp(
        desk,
        Camp(
            id=same_fact("demo camp", str(number)),
            name=title,
            starts=starts,
            ends=starts + timedelta(days=1),
            edition=desk.ladder.edition,
            place="Heronsgate hall",
            bed=bed,
            raters=(RATER,),
            invented=True,
        ),
    )
    known = {(a.name.given, a.name.family): a for a in all_athletes(desk)}
    children = squad()
    first = datetime.combine(starts, time(9), tzinfo=UTC)
    entries = []
    for i, turn in enumerate(turns(number)):
        child = children[turn.child]
        athlete = known[child.given, child.family]
        entries.append(_entry(turn, camp, athlete, first + timedelta(seconds=50 * i)))
    for written in write_entries(desk, entries):
        if written.status != "stored":
            raise LoftbookError(f"a demo entry that was {written.status}: {written.why}")
    say(f"{camp.name} {camp.starts}: {len(entries)} results entered")


def _entry(turn: Turn, camp: Camp, athlete: Athlete, at: datetime) -> Entry:
    return Entry(
        id=_entry_id(camp.id, athlete.id, turn.rung),
        camp=camp.id,
        athlete=athlete.id,
        rung=turn.rung,
        outcome=turn.outcome.value,
        at=at,
        rater=RATER,
        help=turn.help.key if turn.help else "",
        rotation=turn.rotation.value if turn.rotation else "",
        marks=turn.marks,
        note=turn.note,
        device="demo",
    )


def _entry_id(camp: UUID, athlete: UUID, rung: str) -> UUID:
    return same_fact("demo entry", str(camp), str(athlete), rung)
