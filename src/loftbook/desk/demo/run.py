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
from loftbook.desk.camps import make_camp
from loftbook.desk.demo.films import agree, put_film
from loftbook.desk.demo.home_answers import answer_from_home
from loftbook.desk.demo.lists import camp_list, roster
from loftbook.desk.demo.place import empty_book
from loftbook.desk.demo.scenario import CAMPS, Turn, squad, turns
from loftbook.desk.demo.second_marks import again, seconds
from loftbook.desk.entry import write_entries
from loftbook.desk.files import write_file
from loftbook.desk.importing import read_camp_file, read_roster_file
from loftbook.desk.opening import utc_now
from loftbook.desk.people import all_athletes
from loftbook.errors import LoftbookError

RATER = "H. Alder"
_AFTER = datetime(2026, 10, 18, 18, tzinfo=UTC)  # the evening after the last invented camp
_TYPED = 2  # so many camps come from typed lists
ANSWERS = {"code x": "alone"}  # the lists use ticks and "yes" too, so a cross is asked about


def build_demo(folder: Path, *, say: Callable[[str], object]) -> Desk:
    """Makes the demonstration book anew in a folder and returns its desk.

    Lists, reports of the import and the book lie in the folder afterwards. A book
    there that holds anybody who is not invented is left alone with a sentence.
    """
    desk = empty_book(folder, _clock)
    say("Loftbook demo. Everybody and everything in it is invented.")
    _import_roster(desk, folder, say)
    for number in range(_TYPED):
        _import_list(desk, folder, number, say)
    for number in range(_TYPED, len(CAMPS)):
        _enter_camp(desk, number, say)
    agree(desk, RATER)
    answer_from_home(desk, say)
    put_film(desk, RATER, say)
    return desk


def _clock() -> datetime:
    return max(utc_now(), _AFTER)


def _import_roster(desk: Desk, folder: Path, say: Callable[[str], object]) -> None:
    data = roster()
    write_file(folder / "roster.csv", data)
    report = read_roster_file(desk, data, "roster.csv", invented=True, write=True)
    write_file(folder / "roster-report.md", report.as_markdown().encode())
    say(f"roster.csv: {len(all_athletes(desk))} gymnasts; the report is roster-report.md")


def _import_list(desk: Desk, folder: Path, number: int, say: Callable[[str], object]) -> None:
    name = f"camp-{number + 1}.csv"
    data = camp_list(number)
    write_file(folder / name, data)
    asked = [one.id for one in read_camp_file(desk, data, name).decisions if one.verdict == "ask"]
    report = read_camp_file(desk, data, name, answers=ANSWERS, invented=True, write=True)
    if report.questions:
        raise LoftbookError(
            f"a question of {name} that the demo does not answer: {report.questions[0].sentence}"
        )
    write_file(folder / f"camp-{number + 1}-report.md", report.as_markdown().encode())
    answered = ", ".join(f"{one}={ANSWERS[one]}" for one in asked)
    say(f"{name}: asked and answered {answered or 'nothing'}; the report is camp-{number + 1}-report.md")


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
    both = seconds(entries)
    later = again(entries, _AFTER - timedelta(hours=8)) if number < len(CAMPS) - 1 else ()
    for written in write_entries(desk, (*entries, *both, *later)):
        if written.status != "stored":
            raise LoftbookError(f"a demo entry that was {written.status}: {written.why}")
    say(
        f"{camp.name} {camp.starts}: {len(entries)} results entered, {len(both)} of them seen by a second rater"
    )


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
        turn=1,
    )


def _entry_id(camp: UUID, athlete: UUID, rung: str) -> UUID:
    return same_fact("demo entry", str(camp), str(athlete), rung)
