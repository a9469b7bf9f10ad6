"""Read a typed list into the book: the report first, the facts only when asked to write."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import replace
from datetime import date, datetime, timedelta
from uuid import UUID

from loftbook.book.attempts import Attempt
from loftbook.book.people import Athlete, Camp
from loftbook.book.typed.camp_check import surfaces_are_said
from loftbook.book.typed.camplist import CampListOptions, read_camp_list
from loftbook.book.typed.decisions import BirthDate, Fact, FileDecision
from loftbook.book.typed.report import ListReport, without_lost
from loftbook.book.typed.roster import RosterOptions, read_roster
from loftbook.book.typed.table import TypedTable, read_table
from loftbook.book.typed.titles import camp_from_titles, read_titles, span_in_words
from loftbook.desk import Desk
from loftbook.desk.editions import keep_edition
from loftbook.desk.expecting import expect_also
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


def answers_of_file(data: bytes) -> dict[str, str]:
    r"""Answers out of a text file, one a line; empty lines and remarks after # are passed over.

    >>> answers_of_file(b"# who is who\nchild 1f2e=new\n")
    {'child 1f2e': 'new'}
    """
    try:
        lines = data.decode("utf-8-sig").splitlines()
    except UnicodeDecodeError as error:
        raise LoftbookError(
            "a file of answers that is not UTF-8 text", "UTF-8", "save it again as UTF-8 in your editor"
        ) from error
    return answers_from(line for line in lines if line.strip() and not line.lstrip().startswith("#"))


def read_roster_file(  # noqa: PLR0913 - a list, what was said of it, and what to do
    desk: Desk,
    data: bytes,
    name: str,
    *,
    answers: Answers | None = None,
    sheet: str = "",
    as_of: date | None = None,
    camp: UUID | None = None,
    write: bool = False,
    invented: bool = False,
) -> ListReport:
    """What a roster says, row by row; with `write` its facts go into the book, all or none.

    `sheet` names the sheet of a spreadsheet, where it is not the one that looks most like
    a list; so does the answer to “sheet”. `as_of` is the day on which the roster was true,
    where somebody knows it: heights and words on filming get that day. `camp` is where
    everybody on it is expected. Raises ListError when the file as a whole cannot be read.
    """
    now = desk.clock()
    with desk.store.write() if write else desk.store.read() as connection:
        known = people.athletes(connection)
        table = _table(data, name, known, desk, sheet=sheet, answers=answers or {})
        options = RosterOptions(today=now.date(), as_of=as_of, answers=answers or {})
        report = read_roster(table, known, options)
        if camp is not None:
            report = _with_expected(report, camps.camp(connection, camp))
        if write:
            if desk.ladder_named:
                keep_edition(connection, desk)
            _write_people(connection, report.facts, invented=invented)
            if camp is not None:
                expect_also(connection, camp, _settled(report))
            _remember(connection, report, now)
    return report


def read_camp_file(  # noqa: PLR0913 - a list, which camp, what was said, and what to do
    desk: Desk,
    data: bytes,
    name: str,
    *,
    camp: UUID | None = None,
    answers: Answers | None = None,
    sheet: str = "",
    write: bool = False,
    invented: bool = False,
) -> ListReport:
    """What a camp list says, row by row; with `write` its attempts go into the book.

    Without `camp` the camp is made from the lines above the headings, under the same
    number each time, so that reading a list twice changes nothing. `sheet` is as with a
    roster. Raises ListError
    when the file as a whole cannot be read, no line tells the camp's days, the camp has
    not begun, or the book has a camp of another name on these days.
    """
    now = desk.clock()
    said = answers or {}
    with desk.store.write() if write else desk.store.read() as connection:
        known = people.athletes(connection)
        table = _table(data, name, known, desk, sheet=sheet, answers=said)
        made = _camp(connection, desk, table, camp)
        _not_to_come(table, made, now.date())
        report = _read_against(connection, desk, table, made, known=known, answers=said)
        if write:
            report = _write_camp(connection, desk, made, report, invented=invented)
            _remember(connection, report, now)
    return report


def _table(
    data: bytes, name: str, known: Iterable[Athlete], desk: Desk, *, sheet: str, answers: Answers
) -> TypedTable:
    headings = [word for rung in desk.ladder.rungs for word in (rung.name, *rung.aliases)]
    expect = [*(a.name.full for a in known), *headings]
    return read_table(data, name, sheet=sheet, expect=expect, answers=answers)


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


def _settled(report: ListReport) -> set[UUID]:
    """Whom the rows of a list name, those left out that are still asked about."""
    return {row.athlete for row in report.rows if row.athlete and row.verdict in ("take", "same")}


def _with_expected(report: ListReport, camp: Camp) -> ListReport:
    sentence = (
        f"Expected at “{camp.name}”, {span_in_words(camp.starts, camp.ends)}: the {len(_settled(report))} of this list "
        "who are settled, beside those who were expected there already."
    )
    return replace(report, decisions=(*report.decisions, FileDecision("expected", "take", sentence)))


def _remember(connection: Connection, report: ListReport, now: datetime) -> None:
    """Keeps the report; one that wrote nothing does not take the place of the one that did."""
    if not report.facts and imports.import_of(connection, report.digest) is not None:
        imports.drop_pending(connection, report.digest)
        return
    imports.keep_import(
        connection,
        imports.ImportFile(report.digest, report.file, report.kind, now, report.as_dict()),
    )


def _camp(connection: Connection, desk: Desk, table: TypedTable, named: UUID | None) -> Camp:
    if named is not None:
        return camps.camp(connection, named)
    today = desk.clock().date()
    made, _ = camp_from_titles(table.titles, today=today, edition=desk.ladder.edition)
    if made is None:
        why = read_titles(table.titles, today=today).problem or "nothing above the headings tells them"
        raise ListError(
            f"no days of a camp in {table.name} ({why})",
            "the camp’s days above the headings, or a camp of the book",
            "make the camp first and name it with the list, or write its days in the first line",
        )
    others = []
    for camp in camps.camps(connection):
        if camp.id == made.id:
            return camp
        if camp.shares_days(made.starts, made.ends):
            others.append(f"“{camp.name}”, {span_in_words(camp.starts, camp.ends)}")
    if others:
        raise ListError(
            f"in {table.name} a camp “{made.name}”, {span_in_words(made.starts, made.ends)}, that the book does "
            f"not have, while it has {'; '.join(others)} on these days",
            "the list of one of them, or of a camp that was made before",
            "name the camp with the list, or make the other camp first",
        )
    return made


def _not_to_come(table: TypedTable, camp: Camp, today: date) -> None:
    """Refuses marks of a camp that was not yet; a day's grace for clocks and time zones, as for an entry."""
    if camp.starts > today + timedelta(days=1):
        raise ListError(
            f"in {table.name} marks of “{camp.name}”, {span_in_words(camp.starts, camp.ends)}, "
            f"which lies in the future; today is {today}",
            "a camp that has begun",
            "check the year above the headings, and the clock of this machine",
        )


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
        rater=", ".join(camp.raters),
        today=desk.clock().date(),
        existing=existing,
        ever=frozenset(a.id for a in ever),
        answers=answers,
    )
    return read_camp_list(table, known, desk.ladder, options)


def _write_camp(
    connection: Connection, desk: Desk, camp: Camp, report: ListReport, *, invented: bool
) -> ListReport:
    """Writes what a list says of a camp; the report then says of each turn that the book refused why."""
    assumed = camp.surfaces_assumed and not surfaces_are_said(report.decisions)
    if camp.id not in {c.id for c in camps.camps(connection, [camp.id])}:
        new = replace(camp, invented=invented, recorded=desk.clock(), surfaces_assumed=assumed)
        camps.add_camp(connection, new)
    elif assumed is not camp.surfaces_assumed:
        now = replace(camp, surfaces_assumed=assumed)
        camps.change_camp(connection, now, at=desk.clock(), by=f"list {report.file}")
    keep_edition(connection, desk)
    _write_people(connection, report.facts, invented=invented)
    receipts = attempts.add_attempts(connection, report.attempts)
    renew_standings(connection, desk.ladder, {(a.camp, a.athlete) for a in report.attempts})
    lost = {r.id: r.why for r in receipts if r.verdict in _LOST}
    return without_lost(report, lost) if lost else report


_LOST = (attempts.Verdict.REFUSED, attempts.Verdict.CONFLICT)
