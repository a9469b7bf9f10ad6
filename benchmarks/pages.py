"""How long the server works on each page, list and paper of a usual programme's book.

60 gymnasts, 20 camps, 12 rungs: 15,000 turns. Server time is what the pages' own test
client waits; there is no network in it, and the book lies in a file as it does for a
coach. A camp's answer is kept until anything is written, so the camp's page has two
rows: seen again, and seen for the first time after a result was written.
"""

from __future__ import annotations

import tempfile
from collections.abc import Callable
from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta
from pathlib import Path
from random import Random

from fastapi.testclient import TestClient

from benchmarks.book_store import new_id, rungs_of, squad, turns_at
from benchmarks.registry import Row, bench, median_of
from loftbook.book.people import Athlete, Camp
from loftbook.desk import Desk
from loftbook.desk.exporting import all_lists, in_form
from loftbook.desk.importing import read_camp_file, read_roster_file
from loftbook.desk.opening import open_desk
from loftbook.desk.printing import camp_lists_pdf, letter_pdf, letters_pdf
from loftbook.desk.standing import remake_all
from loftbook.store import attempts, camps, people
from loftbook.web import create_app

CAMPS, LETTERS, LISTED = 20, 24, 500
PAGE, IMPORT, PAPERS = 100.0, 1000.0, 3000.0  # ms, the most that each should take


@dataclass(frozen=True)
class Programme:
    """A filled book, and what to ask it."""

    desk: Desk
    athletes: list[Athlete]
    camps: list[Camp]
    turns: int


def programme(path: Path, *, visits: int = CAMPS) -> Programme:
    """Sixty invented gymnasts who all came to so many camps; the last one has only 24 of them."""
    chance = Random(20)
    desk = open_desk(path, clock=lambda: datetime(2028, 6, 1, tzinfo=UTC))
    athletes, _ = squad(chance, 1)
    days = [date(2018, 4, 7) + timedelta(days=182 * visit) for visit in range(visits)]
    made = [
        Camp(new_id(chance), f"Camp {day}", day, day, desk.ladder.edition, raters=("Coach Q",), invented=True)
        for day in days
    ]
    count = 0
    with desk.store.write() as connection:
        people.add_athletes(connection, athletes)
        for visit, camp in enumerate(made):
            camps.add_camp(connection, camp)
            camps.expect(connection, camp.id, {who.id: str(place) for place, who in enumerate(athletes)})
            there = athletes[:LETTERS] if visit == visits - 2 else athletes
            shown = list(turns_at(chance, camp, there, rungs=rungs_of(desk.ladder), visit=visit))
            count += len(attempts.add_attempts(connection, shown))
    remake_all(desk)
    return Programme(desk, athletes, made, count)


def addresses(book: Programme) -> dict[str, str]:
    """Each page of the product, by the name that a coach would use."""
    camp, who = book.camps[-1].id, book.athletes[0].id
    return {
        "squad": "/",
        "camps": "/camps",
        "camp": f"/camps/{camp}",
        "who is next": f"/camps/{camp}/entry",
        "entry of one gymnast": f"/camps/{camp}/entry/{who}",
        "gymnast": f"/athletes/{who}",
        "letter, as a page": f"/athletes/{who}/letter",
        "bringing in a list": "/import",
        "lists to save": "/lists",
    }


def page_rows(book: Programme) -> list[Row]:
    """The server time of each page."""
    site = {"sec-fetch-site": "same-origin"}
    with TestClient(create_app(book.desk), base_url="http://localhost", headers=site) as client:

        def ask(address: str) -> Callable[[], object]:
            return lambda: client.get(address).raise_for_status()

        def after_a_write() -> None:
            book.desk.answers.clear()
            ask(addresses(book)["camp"])()

        rows = [
            Row(f"page: {name}", 1e3 * median_of(ask(address)), "ms", PAGE)
            for name, address in addresses(book).items()
        ]
        return [*rows, Row("page: camp, after a write", 1e3 * median_of(after_a_write), "ms", PAGE)]


def typed_roster(rows: int) -> bytes:
    """A roster as it is typed, every name unlike every other."""
    lines = ["First name;Surname;Date of birth;Club;Twists;Height cm"]
    for row in range(rows):
        born = date(2010, 1, 1) + timedelta(days=3 * row)
        side = ("left", "right", "")[row % 3]
        lines.append(
            f"Given{row};Family{row};{born:%d/%m/%Y};Invented club {row % 7};{side};{130 + row % 30}"
        )
    return "\r\n".join(lines).encode()


def typed_camp(rows: int) -> bytes:
    """A camp list of the same people."""
    marks = ("x", "yes", "belt", "spot", "no", "-", "short", "")
    lines = ["Autumn camp 18-19 Oct 2025", "Gymnast;Double tuck;Double pike;Open tuck double"]
    for row in range(rows):
        mine = ";".join(marks[(row + 3 * place) % len(marks)] for place in range(3))
        lines.append(f"Given{row} Family{row};{mine}")
    return "\r\n".join(lines).encode()


def import_rows(folder: Path) -> list[Row]:
    """Reading lists of 500 rows into an empty book; each repeat has a book of its own."""
    roster, listed = typed_roster(LISTED), typed_camp(LISTED)
    numbers = iter(range(100))

    def fresh() -> Desk:
        return open_desk(folder / f"import-{next(numbers)}.book")

    with_people = fresh()
    read_roster_file(with_people, roster, "roster.csv", write=True)

    def bring_in_camp() -> None:
        read_camp_file(with_people, listed, "camp.csv", write=True)

    rows = [
        Row(
            "bringing in a roster of 500 rows",
            1e3 * median_of(lambda: read_roster_file(fresh(), roster, "roster.csv", write=True), repeats=3),
            "ms",
            IMPORT,
        ),
        Row(
            "bringing in a camp list of 500 rows",
            1e3 * median_of(bring_in_camp, repeats=1, warm=0),
            "ms",
            IMPORT,
        ),
        Row("the same camp list again", 1e3 * median_of(bring_in_camp, repeats=3), "ms", IMPORT),
    ]
    with_people.store.close()
    return rows


def paper_rows(book: Programme) -> list[Row]:
    """Letters and lists as PDF, and the lists as files."""
    camp, few = book.camps[-1].id, book.camps[-2].id
    lists = all_lists(book.desk, camp)

    def save(form: str) -> Callable[[], object]:
        return lambda: [in_form(table, form) for table in lists.values()]

    def letters() -> None:
        assert len(letters_pdf(book.desk, few)) == LETTERS

    return [
        Row("one letter as PDF", 1e3 * median_of(lambda: letter_pdf(book.desk, book.athletes[0].id)), "ms"),
        Row(f"{LETTERS} letters as PDF", 1e3 * median_of(letters, repeats=3), "ms", PAPERS),
        Row(
            "the camp's lists as PDF",
            1e3 * median_of(lambda: camp_lists_pdf(book.desk, camp), repeats=3),
            "ms",
        ),
        Row("making all lists", 1e3 * median_of(lambda: all_lists(book.desk, camp)), "ms"),
        Row("saving them as CSV", 1e3 * median_of(save("csv")), "ms"),
        Row("saving them as XLSX", 1e3 * median_of(save("xlsx"), repeats=3), "ms"),
    ]


@bench("pages", "server time of each page, import and paper: 60 gymnasts, 20 camps, 12 rungs")
def pages() -> list[Row]:
    """All rows, in a temporary folder."""
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        book = programme(folder / "programme.book")
        rows = [*page_rows(book), *paper_rows(book), *import_rows(folder)]
        book.desk.store.close()
    return rows
