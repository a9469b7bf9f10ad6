"""Children, coaches and ladders of another book."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from typing import Any
from uuid import UUID

from loftbook.book.merge.facts import Differs, news_of
from loftbook.book.merge.who import Met, meet_athletes, question_id
from loftbook.book.people import Athlete
from loftbook.book.typed.decisions import Choice, FileDecision, answer_to
from loftbook.book.typed.matching import Register
from loftbook.desk.editions import asking_otherwise, ladder_of
from loftbook.desk.merging.sides import Sides
from loftbook.desk.merging.told import Part, conflict_row
from loftbook.desk.plain import as_plain
from loftbook.errors import LadderError
from loftbook.ladder.shipped import was_shipped
from loftbook.store import ladders, people, same_as
from loftbook.store.database import Connection
from loftbook.store.ladders import LadderText

SAME, LEAVE = "same", "leave"


@dataclass(frozen=True)
class ChildrenMet:
    """Who of the other book is whom, and what is to be written of them."""

    part: Part
    met: tuple[Met, ...]
    erased: int  # children of the other book who were erased from this one

    @property
    def numbers(self) -> dict[UUID, UUID]:
        """The number here of each child of the other one who is settled."""
        return {one.there: one.here for one in self.met if one.here is not None}


@dataclass(frozen=True)
class _Children:
    new: tuple[Athlete, ...]
    said: dict[UUID, list[people.Fact]]
    links: dict[UUID, UUID]


def meet_children(sides: Sides, register: Register) -> ChildrenMet:
    """Every child of the other book: settled, asked about, or left out; and what it says of her."""
    theirs = people.athletes(sides.there)
    numbers = _numbers(sides, register)
    lost = same_as.erased_of(sides.here, _all_numbers(sides, theirs))
    gone = {one.id for one in theirs if one.id in lost}
    met = meet_athletes((a for a in theirs if a.id not in gone), register, numbers, sides.answers)
    by_id = {one.id: one for one in theirs}
    new: list[Athlete] = []
    said: dict[UUID, list[people.Fact]] = {}
    differing: list[dict[str, Any]] = []
    same = facts = 0
    for one in met:
        if one.here is None:
            continue
        there = by_id[one.there]
        if one.new:
            new.append(replace(there, id=one.here))
            continue
        news = news_of(register.people[one.here], there)
        more: list[people.Fact] = [people.Born(news.born)] if news.born else []
        more += news.facts
        for differs in news.differs:
            if (one.renamed and differs.kind == "name") or (one.born and differs.kind == "birth date"):
                more.append(_fact(differs))
            else:
                differing.append(_differs(sides, register.people[one.here], differs))
        if more:
            said[one.here] = more
        facts += len(more)
        same += 1
    links = _links(sides, met, numbers, register)
    part = Part(
        "children",
        stored=len(new) + len(said),
        duplicate=same - len(said),
        waiting=sum(one.question is not None for one in met),
        left_out=sum(one.left_out for one in met) + len(gone),
        aside=tuple(differing),
        conflict=len(differing),
        notes=_notes(len(gone), facts),
        rows=_Children(tuple(new), said, links),
    )
    return ChildrenMet(part, met, len(gone))


def write_children(connection: Connection, sides: Sides, met: ChildrenMet) -> None:
    """Writes the new children, what is new of the known ones, and by which numbers they are known elsewhere."""
    rows: _Children = met.part.rows
    people.add_athletes(connection, rows.new)
    people.add_facts(connection, rows.said)
    same_as.add_numbers(connection, rows.links, sides.now)


def _notes(erased: int, facts: int) -> tuple[str, ...]:
    notes = []
    if erased:
        notes.append(
            f"{erased} {'child was' if erased == 1 else 'children were'} erased from this book and did not come back."
        )
    if facts:
        notes.append(f"{facts} new {'fact' if facts == 1 else 'facts'} about children whom both books know.")
    return tuple(notes)


def _numbers(sides: Sides, register: Register) -> dict[UUID, UUID]:
    """Numbers of the other book, or of any other, that are known to mean somebody here."""
    known = same_as.other_numbers(sides.here)
    for one, at_theirs in same_as.other_numbers(sides.there).items():
        mine = one if one in register.people else known.get(one)
        if mine is not None and at_theirs not in register.people:
            known.setdefault(at_theirs, mine)
    return known


def _all_numbers(sides: Sides, theirs: Iterable[Athlete]) -> dict[UUID, set[UUID]]:
    """Each child of the other book with all the numbers that it knows her by."""
    found = {one.id: {one.id} for one in theirs}
    for one, at_theirs in same_as.other_numbers(sides.there).items():
        if at_theirs in found:
            found[at_theirs].add(one)
    return found


def _links(
    sides: Sides, met: Sequence[Met], numbers: dict[UUID, UUID], register: Register
) -> dict[UUID, UUID]:
    here = same_as.other_numbers(sides.here)
    links = {
        one.there: one.here
        for one in met
        # An answer that one number is one child in both is kept too, so that it is asked once.
        if one.here is not None
        and not one.new
        and (one.there != one.here or sides.answers.get(question_id("child", one.there)))
    }
    mine = {one.there: one.here for one in met if one.here is not None}
    for other, at_theirs in same_as.other_numbers(sides.there).items():
        target = mine.get(at_theirs)
        if target is not None and other != target and other not in register.people:
            links.setdefault(other, target)
    return {
        one: target for one, target in links.items() if one not in here and numbers.get(one, target) == target
    }


def _fact(differs: Differs) -> people.Fact:
    fact = differs.fact
    return people.Born(fact) if differs.kind == "birth date" else fact  # type: ignore[arg-type,return-value]


def _differs(sides: Sides, who: Athlete, differs: Differs) -> dict[str, Any]:
    return conflict_row(
        differs.kind,
        differs.here,
        differs.there,
        name=who.name.full,
        way=sides.way,
        athlete=who.id,
        value=as_plain(differs.fact),
    )


def meet_coaches(sides: Sides) -> Part:
    """The coaches of the other book; a number and a name that are here already add nobody."""
    have = people.people(sides.here)
    known = {one.id for one in have} | {one.name for one in have}
    theirs = people.people(sides.there)
    new = [one for one in theirs if one.id not in known and one.name not in known]
    return Part("coaches", stored=len(new), duplicate=len(theirs) - len(new), rows=new)


def write_coaches(connection: Connection, part: Part) -> None:
    """Puts the new coaches into the book."""
    for one in part.rows:
        people.add_person(connection, one)


@dataclass(frozen=True)
class LaddersMet:
    """The ladders of the other book; camps of a `barred` edition cannot come."""

    part: Part
    questions: tuple[FileDecision, ...]
    barred: frozenset[str]
    asked: frozenset[str]


def meet_ladders(sides: Sides) -> LaddersMet:
    """The ladders that the other book used: marks are compared by edition, so one edition asks one thing.

    Where both books have an edition that asks for different things, it is asked whether its camps may come.
    """
    have = ladders.ladder_texts(sides.here)
    texts = {kept.text for kept in have}
    new: list[LadderText] = []
    questions: list[FileDecision] = []
    barred, asked, same = set(), set(), 0
    for kept in ladders.ladder_texts(sides.there):
        if kept.text in texts or was_shipped(kept.text):
            same += 1
            continue
        if _differs_from(kept.text, [*texts, sides.desk.ladder_text]):
            question = _about_edition(kept.edition)
            key = answer_to(sides.answers, question.id, question.choices)
            if not key:
                questions.append(question)
                asked.add(kept.edition)
            elif key == LEAVE:
                barred.add(kept.edition)
            continue
        texts.add(kept.text)
        new.append(kept)
    part = Part(
        "ladders", stored=len(new), duplicate=same, waiting=len(asked), left_out=len(barred), rows=tuple(new)
    )
    return LaddersMet(part, tuple(questions), frozenset(barred), frozenset(asked))


def write_ladders(connection: Connection, sides: Sides, part: Part) -> None:
    """Keeps the other book's ladders for its camps; the one in use here stays in use."""
    if not part.rows:
        return
    for kept in part.rows:
        ladders.use_ladder(connection, kept)
    mine = sides.desk.ladder
    if sides.desk.ladder_text:
        ladders.use_ladder(
            connection, LadderText(mine.edition, mine.dated, sides.desk.ladder_text, sides.now)
        )


def _differs_from(text: str, others: Iterable[str]) -> bool:
    try:
        mine = ladder_of(text)
    except LadderError:
        return False
    return any(asking_otherwise(mine, other) for other in others if other)


def _about_edition(edition: str) -> FileDecision:
    choices = (
        Choice(
            SAME, "its marks may stand beside those of this book; this book’s ladder tells what they mean"
        ),
        Choice(LEAVE, "leave the camps of that edition out"),
    )
    sentence = (
        f"Both books have a ladder of the edition “{edition}”, and they ask for different things under it. "
        "Marks are compared by edition. May the other book’s camps of that edition come?"
    )
    return FileDecision(f"ladder {edition}", "ask", sentence, choices=choices)
