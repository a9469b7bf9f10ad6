"""The programme summary: counts with their intervals over camps, what was covered, and how far marks can be trusted.

It names nobody and ranks nothing: neither children nor raters nor camps.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import date

from loftbook.book.people import Camp
from loftbook.insight.agreement.criteria import CriterionAgreement
from loftbook.insight.expectation import Expected, Verdict
from loftbook.insight.standing import met_words
from loftbook.insight.wilson import wilson
from loftbook.ladder.rungs import Ladder
from loftbook.reports.charts.bars import expected_bars
from loftbook.reports.dates import day, days
from loftbook.reports.page import Block, Bullets, Figure, Heading, Note, Page, Paragraph, Together
from loftbook.reports.sheets.wording import edition_words, place_words, sentence
from loftbook.reports.table import Cell, Column, Table
from loftbook.reports.texts import Texts, texts


@dataclass(frozen=True)
class CampCounts:
    """One camp in counts: on its list, who came, and for each test rung (met, showed it)."""

    camp: Camp
    listed: int
    came: int
    absent: int  # written down as absent
    rungs: Mapping[str, tuple[int, int]]


@dataclass(frozen=True)
class Coverage:
    """How much of the latest camp was written down: each a count of `turns` or of those who came."""

    turns: int
    marked: int
    rotation: int
    surface: int
    height: int
    twist: int
    film: int


@dataclass(frozen=True)
class ProgrammeFacts:
    """All that the summary tells: the camps up to this one, oldest first, and how this one was covered."""

    ladder: Ladder
    camps: tuple[CampCounts, ...]
    expected: tuple[Expected, ...]
    coverage: Coverage
    marked_twice: int  # turns up to this camp that two people marked
    agreement: Mapping[str, CriterionAgreement]
    least: str
    printed: date

    @property
    def last(self) -> CampCounts:
        """The camp that the summary ends with."""
        return self.camps[-1]


def compose(facts: ProgrammeFacts, say: Texts | None = None) -> Page:
    """The summary as a page; `say` holds the texts of a language, English if None."""
    say, camp = say or texts(), facts.last.camp
    blocks: list[Block] = [Note(say("programme.note"))]
    for part in (_funnel, _expected, _covered, _agreement, _equipment):
        blocks += part(facts, say)
    return Page(
        title=camp.name,
        blocks=tuple(blocks),
        kicker=say("programme.kicker"),
        subtitle=days(camp.starts, camp.ends),
        footer=say("programme.footer", edition=edition_words(facts.ladder), day=day(facts.printed)),
        invented=camp.invented,
    )


def _funnel(facts: ProgrammeFacts, say: Texts) -> Iterator[Block]:
    columns = [
        Column(say("programme.funnel.camp"), share=1.2),
        Column(say("programme.funnel.list"), "number", share=0),
        Column(say("programme.funnel.came"), "number", share=0),
    ]
    for rung in facts.ladder.test_rungs:
        met = met_words(rung.standard).partition(" (")[0]
        columns.append(Column(say("programme.funnel.rung", rung=rung.short, met=met), "number", share=1.0))
    yield Heading(say("programme.funnel.title"))
    rows = tuple(_camp_row(facts, one, say) for one in facts.camps)
    yield Table(tuple(columns), rows, say("programme.funnel.caption"))


def _camp_row(facts: ProgrammeFacts, one: CampCounts, say: Texts) -> tuple[Cell, ...]:
    cells = [
        Cell(one.camp.name, under=days(one.camp.starts, one.camp.ends)),
        Cell(str(one.listed)),
        Cell(str(one.came)),
    ]
    for rung in facts.ladder.test_rungs:
        met, shown = one.rungs.get(rung.key, (0, 0))
        if shown:
            count = say("programme.funnel.count", met=met, shown=shown)
            cells.append(Cell(count, under=wilson(met, shown).words))
        else:
            cells.append(Cell(say("programme.funnel.none"), quiet=True))
    return tuple(cells)


def _expected(facts: ProgrammeFacts, say: Texts) -> Iterator[Block]:
    head = Heading(say("programme.expected.title"), aside=say("programme.expected.aside"))
    if not facts.expected:
        yield Together((head, Paragraph(say("programme.expected.none"), quiet=True)))
        return
    yield Together((head, Bullets(tuple(sentence(one.sentence) for one in facts.expected))))
    if any(one.verdict is not Verdict.CANNOT_SAY for one in facts.expected):
        yield Figure(expected_bars(facts.expected, facts.ladder))


def _covered(facts: ProgrammeFacts, say: Texts) -> Iterator[Block]:
    last, found = facts.last, facts.coverage
    rows = [
        (say("programme.cover.came"), last.came, last.listed),
        (say("programme.cover.absent"), last.absent, last.listed),
        (say("programme.cover.silent"), last.listed - last.came - last.absent, last.listed),
    ]
    for one in facts.ladder.test_rungs:
        _, shown = last.rungs.get(one.key, (0, 0))
        rows.append((say("programme.cover.rung", rung=one.short), shown, last.came))
    for name in ("marked", "rotation", "surface"):
        rows.append((say(f"programme.cover.{name}"), getattr(found, name), found.turns))
    for name in ("height", "twist", "film"):
        rows.append((say(f"programme.cover.{name}"), getattr(found, name), last.came))
    columns = (
        Column(say("programme.cover.what"), share=3),
        Column(say("programme.cover.count"), "number", share=1),
    )
    cells = tuple((Cell(what), Cell(say("programme.cover.of", n=n, of=of))) for what, n, of in rows)
    yield Together((Heading(say("programme.cover.title")), Table(columns, cells)))


def _agreement(facts: ProgrammeFacts, say: Texts) -> Iterator[Block]:
    head = Heading(say("programme.agree.title"))
    if not facts.marked_twice:
        yield Together((head, Paragraph(say("programme.agree.none"), quiet=True)))
        return
    columns = (
        Column(say("programme.agree.what"), share=1.4),
        Column(say("programme.agree.alike"), "number", share=1),
        Column(say("programme.agree.interval"), "number", share=1),
        Column(say("programme.agree.ac"), "number", share=1.4),
        Column(say("programme.agree.more"), "number", share=1),
    )
    told = Paragraph(f"{say.count('programme.agree.turns', facts.marked_twice)} {facts.least}".strip())
    rows = tuple(_criterion(one, say) for one in facts.agreement.values())
    yield Together((head, told, Table(columns, rows, say("programme.agree.caption"))))


def _criterion(one: CriterionAgreement, say: Texts) -> tuple[Cell, ...]:
    few = say("programme.agree.few")
    return (
        Cell(one.scale.name),
        Cell(say("programme.cover.of", n=f"{one.equal:.0f}", of=one.turns)),
        Cell(one.share.words if one.turns else few, finding=True),
        Cell(one.ac.words if one.ac is not None else few, finding=True),
        Cell(str(one.more) if one.more else ""),
    )


def _equipment(facts: ProgrammeFacts, say: Texts) -> Iterator[Block]:
    head = Heading(say("programme.equip.title"))
    kinds = {(c.place, c.bed, c.take_off, c.landing, c.edition) for c in (one.camp for one in facts.camps)}
    if len(kinds) < 2:
        yield Together((head, Paragraph(say("programme.equip.none"), quiet=True)))
        return
    columns = (
        Column(say("programme.equip.camp"), share=1.2),
        Column(say("programme.equip.what"), share=3),
        Column(say("programme.equip.edition"), share=1),
    )
    rows = tuple(
        (
            Cell(one.camp.name, under=days(one.camp.starts, one.camp.ends)),
            Cell(sentence(place_words(one.camp).strip().strip("()"))),
            Cell(one.camp.edition),
        )
        for one in facts.camps
    )
    yield Together((head, Table(columns, rows, say("programme.equip.caption"))))
