"""A camp list read into attempts, child by child and rung by rung, with each decision."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date
from uuid import UUID

from loftbook.book.attempts import Attempt
from loftbook.book.people import Athlete, Camp
from loftbook.book.typed.camp_check import surfaces_of, title_checks
from loftbook.book.typed.camp_rows import Reading, decide_row, waiting
from loftbook.book.typed.cell_facts import Station
from loftbook.book.typed.codes import survey
from loftbook.book.typed.columns import Column, camp_list_columns, has_names, index_of
from loftbook.book.typed.dates import Order, date_order
from loftbook.book.typed.decisions import Answers, FileDecision, RowDecision, not_understood
from loftbook.book.typed.legend import legend_texts
from loftbook.book.typed.list_form import first_part, form_notes, is_passed_over, name_order
from loftbook.book.typed.listed import Asking, new_people
from loftbook.book.typed.matching import SURE, Register
from loftbook.book.typed.report import ListReport
from loftbook.book.typed.same_name import held_until_told
from loftbook.book.typed.table import TypedTable, settle_formulas
from loftbook.ladder.rungs import Ladder


@dataclass(frozen=True)
class CampListOptions:
    """What a camp list itself does not tell.

    `camp` and `rater`: which camp, and who marked. `today` for birth dates in the list.
    `existing`: the attempts of this camp in force, by child and rung. `ever`: the numbers
    of all attempts ever written, also replaced and withdrawn ones. `answers`: what the
    coach said. `accept`: from which confidence on a matched name is not asked about.
    """

    camp: Camp
    rater: str
    today: date
    existing: Mapping[tuple[UUID, str], Sequence[Attempt]] = field(default_factory=dict)
    ever: frozenset[UUID] = frozenset()
    answers: Answers = field(default_factory=dict)
    accept: float = SURE


def read_camp_list(
    table: TypedTable, known: Sequence[Athlete], ladder: Ladder, options: CampListOptions
) -> ListReport:
    """What a camp list says of each child on each rung, as attempts; nothing is written.

    An empty cell is no fact. A tick is “did it, nobody in”, since that is what a camp
    list is for; the report says so once, and it can be answered otherwise. Reading the
    same list again, with its attempts in `existing`, gives no fact.
    """
    answers = options.answers
    table, formulas = settle_formulas(table, answers)
    table, strays = first_part(table)
    columns, headings = camp_list_columns(table, ladder, answers)
    checks = title_checks(table.titles, options.camp, today=options.today, answers=answers)
    family_first, names = name_order(table, columns, answers)
    rungs = [c for c in columns if c.rung]
    rows = [row for row in table.rows if not is_passed_over(row, table)]
    codes = survey((row.cell(c.index) for row in rows for c in rungs), answers, legend_texts(table))
    reading = Reading(
        table=table,
        columns=columns,
        codes=codes,
        station=_station(checks, table, options),
        ladder=ladder,
        existing=options.existing,
        ever=options.ever,
        today=options.today,
        register=Register(known),
        asking=Asking(answers, options.accept, create=answers.get("new people") == "create"),
        family_first=family_first,
        order=_order(table, columns),
    )
    decided = [*_decided(reading), *strays]
    if any(check.verdict == "ask" for check in checks):
        decided = [waiting(d) for d in decided]
    decisions = (*table.notes, *formulas, *checks, *headings, *names, *new_people(reading.strangers, answers))
    decisions += (*codes.decisions, *form_notes(table, named=has_names(columns)), *_rung_note(rungs))
    decisions += not_understood(answers, [*decisions, *decided])
    return ListReport(
        "camp list",
        table.name,
        table.digest,
        decisions,
        tuple(decided),
        reading.register.names_of(decided),
        options.camp.id,
    )


def _decided(reading: Reading) -> list[RowDecision]:
    if not has_names(reading.columns) or not reading.rungs:
        return []
    decided = [decision for row in reading.table.rows for decision in decide_row(row, reading)]
    return held_until_told(decided, reading.told, reading.register.open_names)


def _station(checks: Sequence[FileDecision], table: TypedTable, options: CampListOptions) -> Station:
    take_off, landing = surfaces_of(checks, table.titles, options.camp, today=options.today)
    return Station(options.camp, options.rater, take_off, landing)


def _order(table: TypedTable, columns: tuple[Column, ...]) -> Order:
    born = index_of(columns, "born")
    return date_order(table.column(born)).order if born is not None else ""


def _rung_note(rungs: list[Column]) -> tuple[FileDecision, ...]:
    if rungs:
        return ()
    sentence = "No column is a rung of the ladder, so no mark was read. Say which column is which rung."
    return (FileDecision("rungs", "refuse", sentence),)
