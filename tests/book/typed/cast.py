"""The cast of the list tests: a small ladder, invented children, two camps, ways to make lists."""

import io
from dataclasses import replace
from datetime import date
from pathlib import Path
from uuid import UUID

import openpyxl

from loftbook.book.people import Athlete, Camp, ClubStay, Name
from loftbook.book.typed import (
    CampListOptions,
    RosterOptions,
    read_camp_list,
    read_roster,
    read_table,
    with_facts,
)
from loftbook.ladder.rungs import Ladder, Rung, Standard
from loftbook.ladder.scales import Help, Landing, Outcome, TakeOff

LISTS = Path(__file__).resolve().parent.parent / "lists"
TODAY = date(2026, 1, 10)
STANDARD = Standard(
    Help.NOBODY_IN, (TakeOff.TRAMPOLINE,), (Landing.SOFT_FLAT_MAT,), (Outcome.DID_IT,), "feet first, stood up"
)


def rung(key, name, *aliases, tested=True):
    return Rung(key, name, name.lower(), "doubles", STANDARD, aliases=aliases, tested=tested)


LADDER = Ladder(
    "test ladder",
    "1",
    date(2025, 1, 1),
    (
        rung("back_tuck", "Back somersault, tuck", tested=False),
        rung("double_tuck", "Double back, tuck"),
        rung("double_pike", "Double back, pike"),
        rung("double_open_tuck", "Double back, open tuck"),
        rung("double_front_tuck", "Double front, tuck", tested=False),
    ),
    (),
    (),
)
SPRING = Camp(UUID(int=1), "Spring camp", date(2025, 4, 12), date(2025, 4, 13), "1", bed="bed A")
AUTUMN = Camp(UUID(int=2), "Autumn camp", date(2025, 10, 18), date(2025, 10, 19), "1")


def child(number, given, family, born=None, club="Saltmarsh Gym"):
    return Athlete(UUID(int=number), (Name(given, family),), born, (ClubStay(club),))


SQUAD = (
    child(11, "Ayla", "Aalto", date(2014, 10, 26), "Northfield GC"),
    child(12, "Calla", "Čapek", date(2017, 8, 9)),
    child(13, "Gwen", "Grönholm", date(2014, 5, 8)),
    child(14, "Lumi", "Lindqvist", date(2013, 9, 30), "Old Mill Club"),
    child(15, "Anouk", "Lindqvist", date(2015, 9, 29)),
    child(16, "Yara", "Yıldız", date(2015, 11, 15)),
)


def shipped_list(name):
    """One of the three example lists, as bytes."""
    return (LISTS / name).read_bytes()


def table(text, name="list.csv", **how):
    data = text.encode() if isinstance(text, str) else text
    return read_table(data, name, **how)


def roster(text, known=(), answers=None, **options):
    options = {"today": TODAY, "answers": answers or {}, **options}
    return read_roster(text if hasattr(text, "rows") else table(text), known, RosterOptions(**options))


def camp_list(text, known=SQUAD, answers=None, camp=SPRING, ladder=LADDER, **options):
    options = CampListOptions(camp, "Head coach", TODAY, answers=answers or {}, **options)
    return read_camp_list(text if hasattr(text, "rows") else table(text), known, ladder, options)


def told(report, known=()):
    """Everybody as the book would have them after the report's facts were written."""
    people = {athlete.id: athlete for athlete in known}
    for who, fact in report.facts:
        people[who] = fact if isinstance(fact, Athlete) else with_facts(people[who], (fact,))
    return tuple(people.values())


def written(report, before=None):
    """The attempts in force after the report's were written, as `existing` wants them."""
    held = {key: list(attempts) for key, attempts in (before or {}).items()}
    for attempt in report.attempts:
        key = (attempt.athlete, attempt.rung)
        held[key] = [a for a in held.get(key, []) if a.id != attempt.replaces] + [attempt]
    return held


def row(report, number):
    """The first decision about a row."""
    return next(decision for decision in report.rows if decision.row == number)


def decision(report, key):
    return next(d for d in (*report.decisions, *report.rows) if d.id == key)


def marks(report, given):
    """What a report would write of a child: rung to (outcome, help, rotation)."""
    who = next(k for k, name in report.names.items() if name.startswith(given))
    return {a.rung: (a.outcome, a.help, a.rotation) for a in report.attempts if a.athlete == who}


def workbook(rows, *, title="List", change=None):
    """An XLSX file of these rows, as bytes."""
    book = openpyxl.Workbook()
    sheet = book.active
    sheet.title = title
    for cells in rows:
        sheet.append(cells)
    if change:
        change(book, sheet)
    out = io.BytesIO()
    book.save(out)
    return out.getvalue()


def renamed(athlete, **changes):
    return replace(athlete, **changes)
