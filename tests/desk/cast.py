"""The fixed cast of the desk's tests, and builders: a book, its children, camps, results, typed lists.

A head coach, five children of two clubs, and camps half a year apart. The clock stands
still on the evening of the third camp. Everybody is invented.
"""

from collections.abc import Iterable
from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from pathlib import Path
from typing import Any
from uuid import UUID

import sqlalchemy as sa

from loftbook.book.entries import Entry
from loftbook.book.identity import same_fact
from loftbook.book.people import Athlete, Camp, ClubStay, Height, Name
from loftbook.desk import Desk
from loftbook.desk.camps import make_camp
from loftbook.desk.entry import Written, write_entries
from loftbook.desk.importing import read_camp_file, read_roster_file
from loftbook.desk.opening import open_desk
from loftbook.desk.people import all_athletes, find_athlete
from loftbook.store import camps, people, schema

NOW = datetime(2026, 4, 11, 18, 0, tzinfo=UTC)
COACH = "H. Alder"
LISTS = Path(__file__).resolve().parent.parent / "book" / "lists"
TUCK, PIKE, OPEN = "double_tuck", "double_pike", "double_open_tuck"
SPRING_25, AUTUMN_25, SPRING_26 = date(2025, 4, 12), date(2025, 10, 18), date(2026, 4, 11)
NAMES = (("Mira", "Moss"), ("Noa", "O’Nettle"), ("Otylia", "Pine"), ("Petra", "Quince"), ("Rika", "Sorrel"))
FINDINGS = {"standing", "visit", "camp_pair", "camp_last"}


def a_desk(book: str | Path = ":memory:", **options: Any) -> Desk:
    return open_desk(book, clock=lambda: NOW, **options)


def child(given: str, family: str, **facts: Any) -> Athlete:
    stays = facts.pop("clubs", (ClubStay("Kittiwake Gym", "R. Sorrel", "coach@kittiwake.example"),))
    told: dict[str, Any] = {"born": date(2014, 5, 1), "clubs": stays, "heights": (Height(1.40, SPRING_25),)}
    return Athlete(same_fact("child", given, family), (Name(given, family),), **(told | facts), invented=True)


def bring(desk: Desk, *new: Athlete) -> tuple[UUID, ...]:
    with desk.store.write() as connection:
        people.add_athletes(connection, new)
    return tuple(one.id for one in new)


def a_camp(desk: Desk, name: str, day: date, **more: Any) -> Camp:
    told: dict[str, Any] = {"place": "Saltmarsh hall", "bed": "bed A", "raters": (COACH,), "invented": True}
    days = (day, day + timedelta(days=1))
    camp = Camp(same_fact("camp", name, str(day)), name, *days, desk.ladder.edition, **(told | more))
    return make_camp(desk, camp)


def expect(desk: Desk, camp: Camp, who: Iterable[UUID]) -> None:
    with desk.store.write() as connection:
        camps.expect(connection, camp.id, {one: str(bib) for bib, one in enumerate(who, 1)})


def payload(camp: Camp, athlete: UUID, rung: str = TUCK, **changes: Any) -> Entry:
    """A good turn alone at a camp; `changes` makes it another one."""
    at = datetime(camp.starts.year, camp.starts.month, camp.starts.day, 10, tzinfo=UTC)
    good = Entry(
        id=same_fact("turn", str(camp.id), str(athlete), rung, repr(sorted(changes.items(), key=str))),
        camp=camp.id,
        athlete=athlete,
        rung=rung,
        outcome="did_it",
        at=at,
        rater=COACH,
        help="nobody_in",
        rotation="on",
    )
    return replace(good, **changes)


def write(desk: Desk, *entries: Entry) -> tuple[Written, ...]:
    """Writes entries that must all be stored."""
    written = write_entries(desk, entries)
    assert {one.status for one in written} == {"stored"}, written
    return written


def blank(camp: Camp, athlete: UUID, rung: str = TUCK, outcome: str = "not_tried") -> Entry:
    return payload(camp, athlete, rung, outcome=outcome, help="", rotation="")


def shipped(name: str) -> bytes:
    return (LISTS / name).read_bytes()


def imported(desk: Desk, **answers: str) -> tuple[Any, Any, Any]:
    """The three lists of the tests, read into the book: reports of roster, spring and autumn."""
    roster = read_roster_file(desk, shipped("roster.csv"), "roster.csv", answers=answers, write=True)
    spring = read_camp_file(desk, shipped("camp-spring.csv"), "camp-spring.csv", write=True)
    autumn = read_camp_file(desk, shipped("camp-autumn.csv"), "camp-autumn.csv", write=True)
    return roster, spring, autumn


def roster_of(*rows: str, headings: str = "Name;Born;Club;Twists;Height cm") -> bytes:
    return "\r\n".join((headings, *rows)).encode()


def listed(*rows: str, title: str = "Winter camp 10-11 Jan 2026") -> bytes:
    return "\r\n".join((title, "Gymnast;Double tuck;Double pike;Open tuck double", *rows)).encode()


def named(desk: Desk, name: str) -> UUID:
    return find_athlete(desk, name).id


def names(desk: Desk) -> list[str]:
    return [one.name.full for one in all_athletes(desk)]


def everything(desk: Desk) -> dict[str, list[tuple[str, ...]]]:
    """Every row of every table but the book's own line, in order: what "nothing changed" is held against."""
    with desk.store.read() as connection:
        return {
            table.name: sorted(tuple(map(str, row)) for row in connection.execute(sa.select(table)))
            for table in schema.metadata.sorted_tables
            if table.name != "book"
        }


def counts(desk: Desk) -> dict[str, int]:
    """How many rows each table of facts has; findings are left out."""
    return {name: len(rows) for name, rows in everything(desk).items() if name not in FINDINGS}
