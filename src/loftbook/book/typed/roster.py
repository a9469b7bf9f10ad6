"""A roster read into what would be written of each child, or asked, or refused, row by row."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from datetime import date

from loftbook.book.people import Athlete, ClubStay, Name
from loftbook.book.typed.births import birth_order, settle_birth
from loftbook.book.typed.columns import Column, has_names, roster_columns
from loftbook.book.typed.dates import OrderEvidence
from loftbook.book.typed.decisions import (
    Answers,
    BirthDate,
    Choice,
    Fact,
    RowDecision,
    Verdict,
    answer_to,
    not_understood,
)
from loftbook.book.typed.list_form import first_part, form_notes, is_passed_over, name_order, passed_over
from loftbook.book.typed.matching import Register
from loftbook.book.typed.news import Telling, first_news, further_news, unread_cells, with_facts
from loftbook.book.typed.report import ListReport
from loftbook.book.typed.roster_rows import RosterRow, read_roster_row
from loftbook.book.typed.table import TypedRow, TypedTable, settle_formulas
from loftbook.book.typed.titles import read_titles
from loftbook.book.typed.whose_row import Who, new_athlete, who_is
from loftbook.book.typed.words import day_in_words, fold, fold_name


@dataclass(frozen=True)
class RosterOptions:
    """What a roster itself does not tell.

    `today` bounds birth dates; `as_of` is the day on which the roster was true, for
    heights and clubs, None where nobody knows; `camp_day` the first day of the camp
    it is for, if any; `answers` what the coach said to the questions of this file.
    """

    today: date
    as_of: date | None = None
    camp_day: date | None = None
    answers: Answers = field(default_factory=dict)


@dataclass(frozen=True)
class _Reading:
    table: TypedTable
    columns: tuple[Column, ...]
    order: OrderEvidence
    family_first: bool
    options: RosterOptions
    register: Register

    @property
    def since(self) -> date:
        """From which day on a new name or club counts: the roster's, or the day of reading."""
        today = self.options.today
        titled = read_titles(self.table.titles, today=today).starts
        return self.options.as_of or (titled if titled and titled <= today else today)


def read_roster(table: TypedTable, known: Sequence[Athlete], options: RosterOptions) -> ListReport:
    r"""What a roster says of each child against what the book knows; nothing is written.

    `known` is everybody in the book. Rows that cannot be read are refused or asked,
    each with its sentence, and lose no other row. Reading the same file again, with
    what it told in `known`, gives no fact.

    >>> from loftbook.book.typed.table import read_table
    >>> table = read_table(b"Name,Born\nAyla Aalto,2014-10-26\n", "roster.csv")
    >>> report = read_roster(table, [], RosterOptions(today=date(2026, 1, 1)))
    >>> report.rows[0].sentence
    'New: Ayla Aalto, born 26 October 2014.'
    """
    table, formulas = settle_formulas(table, options.answers)
    table, strays = first_part(table)
    columns, headings = roster_columns(table, options.answers)
    order, dates = birth_order(table, columns, today=options.today, answers=options.answers)
    family_first, names = name_order(table, columns, options.answers)
    reading = _Reading(table, columns, order, family_first, options, Register(known))
    named = has_names(columns)
    rows = [*([d for row in table.rows for d in _row(row, reading)] if named else []), *strays]
    decisions = (*table.notes, *formulas, *headings, *names, *dates, *form_notes(table, named=named))
    decisions += not_understood(options.answers, [*decisions, *rows])
    people = reading.register.names_of(rows)
    return ListReport("roster", table.name, table.digest, decisions, tuple(rows), people)


def _row(row: TypedRow, reading: _Reading) -> list[RowDecision]:
    if is_passed_over(row, reading.table):
        return [passed_over(row)]
    options, register = reading.options, reading.register
    said = read_roster_row(
        row,
        reading.columns,
        source=f"list {reading.table.name} row {row.number}",
        today=options.today,
        order=reading.order.order,
        family_first=reading.family_first,
    )
    blank = RowDecision(f"row {row.number}", row.number, row.text, "refuse", "")
    if said.name.problem:
        return [replace(blank, sentence=f"{said.name.problem}. Nothing of the row was taken.")]
    born, about = settle_birth(
        said, register, blank=blank, today=options.today, camp_day=options.camp_day, answers=options.answers
    )
    folded = fold_name(said.name.full)
    if about and about.verdict != "take":
        if about.verdict == "ask":
            register.open_names.setdefault(folded, row.number)
        return [about]
    who = who_is(said.name, born, register, question=blank.id, answers=options.answers)
    blank = replace(blank, choices=who.choices, chosen=who.chosen)
    held_back = _held_back(who, said, blank, register)
    if held_back:
        if who.asked:
            register.open_names.setdefault(folded, row.number)
        return [held_back]
    return [*([about] if about else []), *_person(said, born, who, blank, reading)]


def _held_back(who: Who, said: RosterRow, blank: RowDecision, register: Register) -> RowDecision | None:
    """The decision about a row whose child is not settled, None where she is."""
    if who.asked:
        return replace(blank, verdict="ask", sentence=who.sentence, confidence=who.confidence)
    if who.left_out:
        return replace(blank, verdict="skip", sentence=f"{said.name.full}: left out, as you said.")
    waits_for = register.open_names.get(fold_name(said.name.full)) if who.athlete is None else None
    if waits_for:
        sentence = (
            f"{said.name.full}: row {waits_for} has this name too and is asked about. Settle that row first."
        )
        return replace(blank, verdict="ask", sentence=sentence)
    return None


def _person(
    said: RosterRow, born: date | None, who: Who, blank: RowDecision, reading: _Reading
) -> list[RowDecision]:
    """The decisions of a row whose child is known, or known to be new."""
    unread = unread_cells(said, blank)
    if who.athlete is None:
        told = f"{reading.table.digest} row {said.number}" if who.chosen else ""
        athlete = new_athlete(said.name, born, reading.register, told=told)
        if athlete.id not in reading.register.people:
            return [_new(athlete, said, who, blank, reading), *unread]
        who = replace(who, athlete=athlete, sentence="new in this list before, as you said")
        return [*_known(said, born, who, blank, reading, moved="keep"), *unread]
    question = replace(blank, id=f"{blank.id} club", athlete=who.athlete.id)
    club = club_question(who.athlete, said, question, register=reading.register, options=reading.options)
    if club and club.chosen == "other":
        return [club, *_person(said, born, Who(chosen="new"), blank, reading)]
    if club and club.verdict == "ask":
        return [club]
    moved = club.chosen if club else ""
    return [*([club] if club else []), *_known(said, born, who, blank, reading, moved=moved), *unread]


def _new(athlete: Athlete, said: RosterRow, who: Who, blank: RowDecision, reading: _Reading) -> RowDecision:
    news = first_news(said, reading.options.as_of, born=athlete.born)
    athlete = with_facts(athlete, news.facts)
    reading.register.put(athlete, row=said.number)
    asides = (said.name.note, said.born.note if said.born else "", said.height.note)
    words = ", ".join([*news.words, *filter(None, asides)])
    return replace(
        blank,
        verdict="take",
        sentence=f"New: {athlete.name.full}, {words}.",
        confidence=None if who.chosen else who.confidence,
        athlete=athlete.id,
        facts=(athlete,),
    )


def _known(
    said: RosterRow, born: date | None, who: Who, blank: RowDecision, reading: _Reading, *, moved: str
) -> list[RowDecision]:
    """What a row adds to a child who is known; nothing, where it says what is known already."""
    assert who.athlete is not None
    athlete, blank = who.athlete, replace(blank, athlete=who.athlete.id, confidence=who.confidence)
    settled, words = _settled(said, born, who, reading, moved=moved)
    if moved == "keep":
        said = replace(said, club="", coach_name="", coach_email="")  # the address is the other club's
    row = reading.register.rows.get(athlete.id)
    telling = Telling(said, reading.options.as_of, blank, reading.options.answers, row)
    news = further_news(with_facts(athlete, settled), telling)
    told = (*settled, *news.facts)
    reading.register.put(with_facts(athlete, told), row=said.number)
    title = athlete.name.full + (f" ({who.sentence})" if who.sentence else "")
    if told:
        sentence = f"{title}: new is {', '.join((*words, *news.words))}."
        return [replace(blank, verdict="take", sentence=sentence, facts=told), *news.asides]
    if row:
        sentence = f"{title}: a duplicate of row {row}; it says nothing new."
        return [replace(blank, verdict="skip", sentence=sentence), *news.asides]
    return [replace(blank, verdict="same", sentence=f"{title}: nothing new."), *news.asides]


def _settled(
    said: RosterRow, born: date | None, who: Who, reading: _Reading, *, moved: str
) -> tuple[tuple[Fact, ...], tuple[str, ...]]:
    """Facts that follow from who she is: a birth date, a new name, a new club; and in words."""
    # Without a day of its own the roster is taken to tell what is true since it was read:
    # her name and club at earlier camps stay what they were.
    since, told = reading.since, list[tuple[Fact, str]]()
    if born and who.athlete and (who.athlete.born is None or who.corrects_birth):
        told.append((BirthDate(born), f"born {day_in_words(born)}"))
    if who.renamed:
        told.append((Name(said.name.given, said.name.family, since), f"now called {said.name.full}"))
    if moved == "moved":
        told.append((ClubStay(said.club, said.coach_name, said.coach_email, since), f"at {said.club} now"))
    return tuple(fact for fact, _ in told), tuple(word for _, word in told)


def club_question(
    athlete: Athlete, said: RosterRow, question: RowDecision, *, register: Register, options: RosterOptions
) -> RowDecision | None:
    """The question of a child who is known at another club, None where the clubs agree.

    A club where she was before is no news, unless the roster is dated after her move.
    """
    stay, as_of = athlete.club, options.as_of
    if stay is None or not said.club or not stay.club or fold(stay.club) == fold(said.club):
        return None
    newer = as_of is not None and stay.since is not None and as_of > stay.since
    if not newer and any(fold(s.club) == fold(said.club) for s in athlete.clubs):
        return None
    row = register.rows.get(athlete.id)
    where = f"stands in row {row} already, at {stay.club}" if row else f"is at {stay.club} in the book"
    born, others = (f", born {day_in_words(athlete.born)},", " and birth date") if athlete.born else ("", "")
    sentence = f"{athlete.name.full}{born} {where}; this row says {said.club}. "
    sentence += "A duplicate, or has she moved?" if row else "Has she moved?"
    choices = (
        Choice("moved", f"the same child; she trains at {said.club} now"),
        Choice("keep", f"the same child; she stays at {stay.club}, the rest of the row counts"),
        Choice("other", f"another child with this name{others}"),
    )
    key = answer_to(options.answers, question.id, choices)
    answered = f" Answered: {next(c.label for c in choices if c.key == key)}." if key else ""
    verdict: Verdict = "take" if key else "ask"
    return replace(question, verdict=verdict, sentence=sentence + answered, choices=choices, chosen=key)
