"""A sheet to be filled by hand: the codes, everybody in running order, a place for each turn."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date
from uuid import UUID

from loftbook.book.paper import code_words
from loftbook.book.people import Camp
from loftbook.book.plan import Plan
from loftbook.ladder.rungs import Ladder
from loftbook.reports.dates import day, days
from loftbook.reports.page import Block, Heading, Note, Page, Paragraph, Span, WriteIn
from loftbook.reports.table import Cell, Column, Table
from loftbook.reports.texts import Texts, texts

_ROOM = "______"
_MOST_PLACES = 12  # that fit beside a name


@dataclass(frozen=True)
class BlankFacts:
    """Who is on the sheet in which order, and how many turns."""

    camp: Camp
    ladder: Ladder
    plan: Plan
    people: tuple[tuple[UUID, str, str], ...]  # id, name, bib; in running order
    printed: date


def compose(facts: BlankFacts, say: Texts | None = None) -> Page:
    """The sheet as a page: one table for each group and as many rungs as fit; `say` holds the texts of a language."""
    say = say or texts()
    blocks: list[Block] = [
        WriteIn(say("blank.by")),
        WriteIn(say("blank.day")),
        Paragraph(_codes()),
    ]
    for name, people in _groups(facts, say):
        blocks += _tables(facts, name, people, say)
    blocks.append(Note(say("blank.stop"), title=say("blank.caution"), caution=True))
    return Page(
        title=facts.camp.name,
        blocks=tuple(blocks),
        kicker=say("blank.kicker"),
        subtitle=days(facts.camp.starts, facts.camp.ends),
        footer=say("blank.footer", day=day(facts.printed)),
        invented=facts.camp.invented,
    )


def _codes() -> tuple[Span, ...]:
    """On the first sheet, over the names: whoever writes with the other hand on the belt turns no page."""
    last = len(code_words()) - 1
    return tuple(
        span
        for place, (code, words) in enumerate(code_words())
        for span in (Span(code, strong=True), Span(f" {words}" + (" · " if place < last else "")))
    )


def _groups(facts: BlankFacts, say: Texts) -> Iterator[tuple[str, list[tuple[UUID, str, str]]]]:
    by_id = {person[0]: person for person in facts.people}
    named: set[UUID] = set()
    for group in facts.plan.groups:
        here = [by_id[who] for who in group.athletes if who in by_id]
        named |= {who for who, *_ in here}
        if here:
            yield group.name, here
    rest = [person for person in facts.people if person[0] not in named]
    if rest:
        yield say("blank.no_group" if named else "blank.everybody"), rest


def _tables(
    facts: BlankFacts, name: str, people: Sequence[tuple[UUID, str, str]], say: Texts
) -> Iterator[Block]:
    rungs = facts.ladder.test_rungs
    turns = facts.plan.turns
    at_once = max(1, _MOST_PLACES // turns)
    for start in range(0, len(rungs), at_once):
        some = rungs[start : start + at_once]
        titles = [f"{rung.short} {turn}" for rung in some for turn in range(1, turns + 1)]
        columns = (
            Column(say("blank.bib"), share=0),
            Column(say("blank.who"), share=2),
            *(Column(title, share=1) for title in titles),
            Column(say("blank.note"), share=2),
        )
        room = tuple(Cell(_ROOM, quiet=True, under="\N{NO-BREAK SPACE}") for _ in titles)  # room for a hand
        yield Heading(name, aside=" · ".join(rung.name for rung in some))
        yield Table(columns, tuple((Cell(bib), Cell(called), *room, Cell("")) for _, called, bib in people))
