"""Read a typed list into the book: the report first, the facts only when asked to write."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import replace
from datetime import datetime
from uuid import UUID

from loftbook.book.attempts import Attempt
from loftbook.book.people import Athlete, Camp
from loftbook.book.typed.camplist import CampListOptions, read_camp_list
from loftbook.book.typed.decisions import BirthDate, Fact
from loftbook.book.typed.report import ListReport
from loftbook.book.typed.roster import RosterOptions, read_roster
from loftbook.book.typed.table import TypedTable, read_table
from loftbook.book.typed.titles import camp_from_titles
from loftbook.desk import Desk
from loftbook.desk.editions import keep_edition
from loftbook.desk.standing import renew_standings
from loftbook.errors import ListError, LoftbookError
from loftbook.store import attempts, camps, imports, people
from loftbook.store.database import Connection

Answers = Mapping[str, str]


def answers_from(said: Iterable[str]) -> dict[str, str]:
    """Answers as they are typed on the command line: ID=CHOICE.

    >>> answers_from(["row 12=new"])
    {'row 12': 'new'}
    """
    found: dict[str, str] = {}
    for one in said:
        question, sign, choice = one.rpartition("=")
        if not sign or not question.strip() or not choice.strip():
            raise LoftbookError(
                f"the answer {one!r}", "ID=CHOICE", "copy the id and one of the choices from the report"
            )
        found[question.strip()] = choice.strip()
    return found


def read_roster_file(
    desk: Desk,
    data: bytes,
    name: str,
    *,
    answers: Answers | None = None,
    write: bool = False,
    invented: bool = False,
) -> ListReport:
    """What a roster says, row by row; with `write` its facts go into the book, all or none.

    Raises ListError when the file as a whole cannot be read.
    """
    now = desk.clock()
    with desk.store.write() if write else desk.store.read() as connection:
        known = people.athletes(connection)
        table = _table(data, name, known, desk)
        report = read_roster(table, known, RosterOptions(today=now.date(), answers=answers or {}))
        if write:
            _write_people(connection, report.facts, invented=invented)
            _remember(connection, report, now)
    return report


def read_camp_file(  # noqa: PLR0913 - a list, which camp, what was said, and what to do
    desk: Desk,
    data: bytes,
    name: str,
    *,
    camp: UUID | None = None,
    answers: Answers | None = None,
    write: bool = False,
    invented: bool = False,
) -> ListReport:
    """What a camp list says, row by row; with `write` its attempts go into the book.

    Without `camp` the camp is made from the lines above the headings, under the same
    number each time, so that reading a list twice changes nothing. Raises ListError
    when the file as a whole cannot be read or no line tells the camp's days.
    """
    now = desk.clock()
    said = answers or {}
    with desk.store.write() if write else desk.store.read() as connection:
        known = people.athletes(connection)
        table = _table(data, name, known, desk)
        made = _camp(connection, desk, table, camp)
        report = _read_against(connection, desk, table, made, known=known, answers=said)
        if write:
            _write_camp(connection, desk, made, report, invented=invented)
            _remember(connection, report, now)
    return report


def _table(data: bytes, name: str, known: Iterable[Athlete], desk: Desk) -> TypedTable:
    headings = [word for rung in desk.ladder.rungs for word in (rung.name, *rung.aliases)]
    return read_table(data, name, expect=[*(a.name.full for a in known), *headings])


def _write_people(connection: Connection, facts: Iterable[tuple[UUID, Fact]], *, invented: bool) -> None:
    new: list[Athlete] = []
    said: dict[UUID, list[people.Fact]] = {}
    for who, fact in facts:
        if isinstance(fact, Athlete):
            new.append(replace(fact, invented=invented))
        elif isinstance(fact, BirthDate):
            said.setdefault(who, []).append(people.Born(fact.born))
        elif not isinstance(fact, Attempt):
            said.setdefault(who, []).append(fact)
    people.add_athletes(connection, new)
    people.add_facts(connection, said)


def _remember(connection: Connection, report: ListReport, now: datetime) -> None:
    imports.keep_import(
        connection,
        imports.ImportFile(report.digest, report.file, report.kind, now, report.as_dict()),
    )


def _camp(connection: Connection, desk: Desk, table: TypedTable, named: UUID | None) -> Camp:
    if named is not None:
        return camps.camp(connection, named)
    made, notes = camp_from_titles(table.titles, today=desk.clock().date(), edition=desk.ladder.edition)
    if made is None:
        raise ListError(
            f"in {table.name}: {notes[0].sentence}",
            "the camp’s days above the headings, or a camp of the book",
            "make the camp first and name it with the list, or write its days in the first line",
        )
    known = [c for c in camps.camps(connection) if c.id == made.id]
    return known[0] if known else made


def _read_against(
    connection: Connection,
    desk: Desk,
    table: TypedTable,
    camp: Camp,
    *,
    known: tuple[Athlete, ...],
    answers: Answers,
) -> ListReport:
    ever = attempts.attempts_of_camp(connection, camp.id, all=True)
    existing: dict[tuple[UUID, str], list[Attempt]] = {}
    for attempt in attempts.attempts_of_camp(connection, camp.id):
        existing.setdefault((attempt.athlete, attempt.rung), []).append(attempt)
    options = CampListOptions(
        camp=camp,
        rater=", ".join(camp.raters) or "the camp list",
        today=desk.clock().date(),
        existing=existing,
        ever=frozenset(a.id for a in ever),
        answers=answers,
    )
    return read_camp_list(table, known, desk.ladder, options)


def _write_camp(
    connection: Connection, desk: Desk, camp: Camp, report: ListReport, *, invented: bool
) -> None:
    if camp.id not in {c.id for c in camps.camps(connection, [camp.id])}:
        camps.add_camp(connection, replace(camp, invented=invented, recorded=desk.clock()))
        keep_edition(connection, desk)
    _write_people(connection, report.facts, invented=invented)
    attempts.add_attempts(connection, report.attempts)
    renew_standings(connection, desk.ladder, {(a.camp, a.athlete) for a in report.attempts})
