"""One row of a camp list: who is meant, and what each mark says of her."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import date
from uuid import UUID

from loftbook.book.attempts import Attempt
from loftbook.book.people import Athlete
from loftbook.book.typed.cell_facts import CellOutcome, Station, against_the_book, attempts_of, in_words
from loftbook.book.typed.codes import CodeBook, choices_of_meaning
from loftbook.book.typed.columns import Column, index_of
from loftbook.book.typed.dates import Order, read_date
from loftbook.book.typed.decisions import Choice, Fact, RowDecision, Verdict, answer_to
from loftbook.book.typed.list_form import is_passed_over, passed_over
from loftbook.book.typed.listed import Asking, Hints, as_new, confirms, who_else, who_is_listed
from loftbook.book.typed.marks import MEANINGS, NOTHING, Meaning
from loftbook.book.typed.matching import Register
from loftbook.book.typed.names import NameReading
from loftbook.book.typed.roster_rows import name_in_row
from loftbook.book.typed.same_name import Told, again, name_key
from loftbook.book.typed.table import TypedRow, TypedTable
from loftbook.book.typed.whose_row import Who
from loftbook.book.typed.words import day_in_words, has_letters, is_formula, shortened
from loftbook.ladder.rungs import Ladder


@dataclass
class Reading:
    """Everything that reading a row needs, and what the rows before it told (`seen` by child, `told` by row)."""

    table: TypedTable
    columns: tuple[Column, ...]
    codes: CodeBook
    station: Station
    ladder: Ladder
    existing: Mapping[tuple[UUID, str], Sequence[Attempt]]
    ever: frozenset[UUID]
    today: date
    register: Register
    asking: Asking
    family_first: bool
    order: Order
    seen: dict[UUID, Told] = field(default_factory=dict)
    told: dict[int, Told] = field(default_factory=dict)
    strangers: int = 0  # names that resemble nobody's

    @property
    def rungs(self) -> tuple[Column, ...]:
        """The columns of marks."""
        return tuple(c for c in self.columns if c.rung)


@dataclass(frozen=True)
class _Cell:
    """The marks of one rung in a row: all its turns, or None while one of them is asked."""

    rung: str
    text: str
    turns: tuple[Meaning, ...] | None
    choices: tuple[Choice, ...] = ()
    chosen: str = ""


@dataclass
class _Found:
    """What the cells of a row give so far."""

    facts: list[Fact]
    words: list[str] = field(default_factory=list)
    same: bool = False
    asides: list[RowDecision] = field(default_factory=list)


def waiting(decision: RowDecision) -> RowDecision:
    """A decision that gives nothing until a question about the whole list is answered."""
    if decision.verdict != "take":
        return decision
    sentence = f"Waits for the questions about the whole list. {decision.sentence}"
    return replace(decision, verdict="ask", facts=(), sentence=sentence)


def decide_row(row: TypedRow, reading: Reading) -> list[RowDecision]:
    """The decisions of one row: one for the child with her clear marks, one for each mark that is asked."""
    if is_passed_over(row, reading.table):
        return [passed_over(row)]
    blank = RowDecision(f"row {row.number}", row.number, row.text, "refuse", "")
    cells = _cells(row, reading)
    name = name_in_row(row, reading.columns, family_first=reading.family_first)
    if name.problem:
        return [_nameless(name, cells, blank)]
    if name.how == "one word" and any(row.cells[reading.table.headed :]):
        sentence = (
            f"{name.full}: the row has more cells than there are headings, so its marks may stand under the wrong "
            "ones; nothing was read. Put quote marks around a name with a comma in it."
        )
        return [replace(blank, sentence=sentence)]
    hints = _hints(row, reading)
    who = who_is_listed(name, hints, reading.register, question=blank.id, asking=reading.asking)
    answered = replace(blank, choices=who.choices, chosen=who.chosen)
    held_back = _held_back(who, name, cells, answered, reading)
    if held_back:
        return [held_back]
    athlete = who.athlete or _newcomer(name, hints, blank, reading)
    told = _told(row, name, hints, athlete, reading, said=who.chosen)
    before = reading.seen.get(athlete.id)
    sure = None if who.chosen else who.confidence
    known = replace(answered, confidence=sure, athlete=athlete.id)
    if before is None:
        return _of_child(athlete, told, who, cells, known, reading)
    twice = again(told, before, athlete, known, reading.asking.answers)
    if twice.verdict != "take":
        return [twice]
    if twice.chosen == "new":
        athlete = _newcomer(name, hints, blank, reading)
        told, known = replace(told, confirmed=True), replace(known, athlete=athlete.id)
        twice = replace(twice, athlete=athlete.id)
    return [twice, *_of_child(athlete, told, who, cells, known, reading)]


def _told(
    row: TypedRow, name: NameReading, hints: Hints, athlete: Athlete, reading: Reading, *, said: str
) -> Told:
    return Told(
        row.number,
        name_key(name),
        tuple(row.cell(c.index) for c in reading.rungs),
        hints,
        bool(said) or confirms(athlete, hints),
        who_else(athlete, name, reading.register) if athlete.id in reading.register.people else (),
    )


def _of_child(
    athlete: Athlete, told: Told, who: Who, cells: list[_Cell], blank: RowDecision, reading: Reading
) -> list[RowDecision]:
    """The decisions of a row whose child is settled."""
    camp = reading.station.camp
    if athlete.born and athlete.born > camp.starts:
        born = day_in_words(athlete.born)
        sentence = f"{athlete.name.full} was born on {born}, after the camp began. Is it another child?"
        return [replace(blank, sentence=sentence)]
    found = _Found([athlete] if athlete.id not in reading.register.people else [])
    reading.register.put(athlete, row=blank.row)
    reading.told[blank.row] = told
    reading.seen.setdefault(athlete.id, told)
    return _marks(athlete, who.sentence, cells, blank, reading, found=found)


def _held_back(
    who: Who, name: NameReading, cells: list[_Cell], blank: RowDecision, reading: Reading
) -> RowDecision | None:
    """The decision about a row whose child is not settled, None where she is."""
    marked = any(cell.text for cell in cells)
    if who.choices and not any(choice.key.startswith("is ") for choice in who.choices):
        reading.strangers += marked
    if who.left_out:
        return replace(blank, verdict="skip", sentence=f"{name.full}: left out, as you said.")
    if who.athlete is not None:
        return None
    if not marked:
        sentence = f"{name.full}: nobody sure in the book, and no mark in the row; passed over."
        return replace(blank, verdict="skip", sentence=sentence)
    waits_for = reading.register.open_names.get(name_key(name))
    if who.asked:
        reading.register.open_names.setdefault(name_key(name), blank.row)
        return replace(blank, verdict="ask", sentence=who.sentence, confidence=None)
    if waits_for:
        sentence = (
            f"{name.full}: row {waits_for} has this name too and is asked about. Settle that row first."
        )
        return replace(blank, verdict="ask", sentence=sentence)
    return None


def _newcomer(name: NameReading, hints: Hints, blank: RowDecision, reading: Reading) -> Athlete:
    said = {reading.asking.answers.get(question) for question in (blank.id, f"{blank.id} again")}
    told = f"{reading.table.digest} {blank.id}" if "new" in said else ""
    return as_new(name, hints, reading.register, told=told)


def _hints(row: TypedRow, reading: Reading) -> Hints:
    born = row.cell(index_of(reading.columns, "born"))
    day = read_date(born, today=reading.today, order=reading.order).day if born else None
    club = row.cell(index_of(reading.columns, "club"))
    return Hints(day, club if has_letters(club) and not is_formula(club) else "")


def _nameless(name: NameReading, cells: list[_Cell], blank: RowDecision) -> RowDecision:
    marked = any(cell.text for cell in cells)
    if not marked:
        return replace(blank, verdict="skip", sentence=f"{name.problem}, and no mark; passed over.")
    return replace(
        blank, sentence=f"{name.problem}, so nobody got these marks. Write the name and read it again."
    )


def _cells(row: TypedRow, reading: Reading) -> list[_Cell]:
    """The marks of a row, rung by rung; two columns of one rung are its turns."""
    answers = reading.asking.answers
    cells: dict[str, _Cell] = {}
    for column in reading.rungs:
        text = row.cell(column.index)
        before = cells.get(column.rung, _Cell(column.rung, "", ()))
        turns, chosen = reading.codes.turns(text), ""
        choices: tuple[Choice, ...] = ()
        if turns is None:
            choices = choices_of_meaning()
            chosen = answer_to(answers, f"row {row.number} {column.rung}", choices)
            if chosen:
                turns = () if chosen == NOTHING else (MEANINGS[chosen],)
        whole = None if turns is None or before.turns is None else (*before.turns, *turns)
        text = " | ".join(filter(None, (before.text, text)))
        cells[column.rung] = _Cell(
            column.rung, text, whole, before.choices or choices, before.chosen or chosen
        )
    return list(cells.values())


def _marks(
    athlete: Athlete, how: str, cells: list[_Cell], blank: RowDecision, reading: Reading, *, found: _Found
) -> list[RowDecision]:
    """What the marks of a row give: the clear ones in one decision, each other one in its own."""
    for cell in cells:
        rung = reading.ladder.rung(cell.rung)
        title = f"{athlete.name.full}, {rung.name}"
        question = replace(
            blank,
            id=f"row {blank.row} {cell.rung}",
            choices=cell.choices,
            chosen=cell.chosen,
            confidence=None,
        )
        if cell.turns is None:
            found.asides.append(replace(question, verdict="ask", sentence=f"{title}: {_why(cell)}"))
            continue
        if cell.chosen:
            label = next(c.label for c in cell.choices if c.key == cell.chosen)
            sentence = f"{title}: {shortened(cell.text, 40)!r} means {label}, as you said."
            found.asides.append(replace(question, verdict="take", sentence=sentence))
        if not cell.turns:
            continue
        outcome = _outcome(cell, athlete, blank, reading)
        found.facts += outcome.attempts
        found.words += [f"{rung.name}: {in_words(outcome.attempts)}"] if outcome.attempts else []
        found.same = found.same or outcome.same
        found.asides += _aside(outcome, question, title)
    return [*_main(athlete, how, found, blank), *found.asides]


def _outcome(cell: _Cell, athlete: Athlete, blank: RowDecision, reading: Reading) -> CellOutcome:
    """The attempts of one rung against the book; a child's second row in one list is not held against it."""
    again = blank.row if reading.seen[athlete.id].number != blank.row else 0
    typed = attempts_of(
        cell.turns or (),
        station=reading.station,
        athlete=athlete.id,
        rung=cell.rung,
        source=f"list {reading.table.name} row {blank.row}",
        again=again,
    )
    held = reading.existing.get((athlete.id, cell.rung), ())
    if again:
        known = {a.id for a in held} | reading.ever
        fresh = tuple(a for a in typed if a.id not in known)
        return CellOutcome(fresh, same=not fresh)
    question = f"row {blank.row} {cell.rung} differs"
    return against_the_book(typed, held, reading.ever, question=question, answers=reading.asking.answers)


def _aside(outcome: CellOutcome, question: RowDecision, title: str) -> list[RowDecision]:
    if not outcome.choices:
        return []
    verdict: Verdict = "take" if outcome.attempts else "same" if outcome.chosen else "ask"
    ending = (
        f" Answered: {next(c.label for c in outcome.choices if c.key == outcome.chosen)}."
        if outcome.chosen
        else ""
    )
    return [
        replace(
            question,
            id=f"{question.id} differs",
            verdict=verdict,
            sentence=f"{title}: {outcome.sentence}.{ending}",
            choices=outcome.choices,
            chosen=outcome.chosen,
        )
    ]


def _why(cell: _Cell) -> str:
    text = shortened(cell.text, 40)
    if is_formula(cell.text):
        return f"the cell is a formula, {text}, which was not run. What does it mean?"
    return f"what does {text!r} mean?"


def _main(athlete: Athlete, how: str, found: _Found, blank: RowDecision) -> list[RowDecision]:
    """The decision about the clear marks of a row."""
    title = f"{athlete.name.full}{' (new)' if athlete in found.facts else ''}{f' ({how})' if how else ''}"
    if found.facts:
        sentence = f"{title}: {'; '.join(found.words) or 'no mark to write'}."
        return [replace(blank, verdict="take", sentence=sentence, facts=tuple(found.facts))]
    if found.same:
        return [replace(blank, verdict="same", sentence=f"{title}: in the book already.")]
    if found.asides:
        return []
    return [replace(blank, verdict="skip", sentence=f"{title}: no mark in the row, so nothing is written.")]
