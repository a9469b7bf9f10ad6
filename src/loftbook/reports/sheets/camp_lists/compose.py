"""The lists of a camp: who did which rung and how, the patterns, the changes, expected and seen.

For the programme's own coaches: it names children side by side, so it does not leave
them. Names stand in the order of the squad; no list is a ranking.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from uuid import UUID

from loftbook.book.people import Athlete, Camp
from loftbook.insight.change import Change
from loftbook.insight.expectation import Expected, Verdict
from loftbook.insight.inventory import Inventory, Mark, Pattern, Reversal, RungInventory
from loftbook.insight.standing import State, met_words
from loftbook.ladder.rungs import Ladder
from loftbook.reports.charts.bars import expected_bars, share_bars
from loftbook.reports.dates import day, days
from loftbook.reports.page import Block, Bullets, Figure, Heading, Note, Page, Paragraph, Span, Together
from loftbook.reports.sheets.camp_lists.changed import changed
from loftbook.reports.sheets.wording import edition_words, names_of, place_words, rung_name, sentence
from loftbook.reports.table import Cell, Column, Table


@dataclass(frozen=True)
class CampListFacts:
    """All that the lists of one camp tell; `changes` are those since the camp before."""

    camp: Camp
    ladder: Ladder
    athletes: tuple[Athlete, ...]
    inventory: Inventory
    changes: tuple[Change, ...]
    expected: tuple[Expected, ...]
    printed: date


def compose(facts: CampListFacts) -> Page:
    """The whole sheet as a page."""
    names = names_of(facts.athletes)
    blocks: list[Block] = [*_how_many(facts)]
    for one in facts.inventory.rungs:
        blocks.append(_rung(facts.ladder, one, names))
    blocks += [*_patterns(facts, names), *changed(facts.changes, facts.ladder, names), *_expected(facts)]
    return Page(
        title=facts.camp.name,
        blocks=tuple(blocks),
        kicker="Camp lists",
        subtitle=days(facts.camp.starts, facts.camp.ends) + place_words(facts.camp),
        footer=f"{edition_words(facts.ladder)}. Printed {day(facts.printed)}. Own coaches only",
        invented=facts.camp.invented,
    )


def _how_many(facts: CampListFacts) -> Iterator[Block]:
    people = len(facts.inventory.squad)
    raters = f" Marked by {', '.join(facts.camp.raters)}." if facts.camp.raters else ""
    yield Paragraph(f"{people} gymnasts on the list.{raters} {_meaning(facts.inventory)}")
    yield Note(
        "For the programme's own coaches. It names children side by side: it goes to no parent, no club and no wall. "
        "Names stand in the order of the squad, and no list is a ranking. It says what was seen and decides nothing."
    )
    yield Heading("How many")
    columns = (
        Column("Rung", share=1.6),
        *(
            Column(title, "number", share=0.7)
            for title in (_met(facts.inventory), "With help", "Tried", "Showed it", "Blank")
        ),
        Column("Share, 95 % interval", "number", share=1.7),
    )
    rows = tuple(_counts(facts.ladder, one) for one in facts.inventory.rungs)
    yield Table(columns, rows)
    caption = (
        f"Solid: did it {facts.inventory.met}. Open: showed it. The whisker of the second ink is the 95 % interval of "
        "the share: between these numbers the true rate may lie, when one day and one turn of luck are allowed for."
    )
    yield Figure(share_bars(facts.inventory, facts.ladder), caption)


def _met(found: Inventory) -> str:
    return "Alone" if found.met == State.ALONE.words else "Alone, or as asked"


def _meaning(found: Inventory) -> str:
    alone = "Alone means by the standard of the camp, with nobody in."
    if found.met == State.ALONE.words:
        return alone
    return f"{alone} As it asks means with the help that the rung asks for, which is no turn alone."


def _counts(ladder: Ladder, one: RungInventory) -> tuple[Cell, ...]:
    helped, tried = (sum(len(part.athletes) for part in parts) for parts in (one.helped, one.tried))
    numbers = (len(one.alone), helped, tried, one.shown, one.not_shown)
    share = one.share.words if one.shown else "nobody showed it"
    return (
        Cell(rung_name(ladder, one.rung), under="" if one.met == State.ALONE.words else one.met),
        *(Cell(str(number), strong=place == 0) for place, number in enumerate(numbers)),
        Cell(share, finding=True),
    )


def _rung(ladder: Ladder, one: RungInventory, names: Mapping[UUID, str]) -> Together:
    """Everybody in exactly one place on one rung."""
    rows = [_row(State.ALONE, "", one.alone, names, said=one.met)] if one.alone else []
    rows += [_row(State.HELPED, part.words, part.athletes, names) for part in one.helped]
    rows += [_row(State.TRIED, part.how, part.athletes, names) for part in one.tried]
    rows += [_row(state, "", whom, names) for state, whom in one.blanks.items() if whom]
    head = Heading(
        rung_name(ladder, one.rung), aside=f"{len(one.alone)} {one.met} of {one.shown} who showed it"
    )
    columns = (
        Column("What was seen", share=1.1),
        Column("How many", "number", share=0),
        Column("Who", share=3.4),
    )
    return Together((head, Table(columns, tuple(rows))))


def _row(
    state: State, how: str, whom: Sequence[UUID], names: Mapping[UUID, str], *, said: str = ""
) -> tuple[Cell, ...]:
    listed = tuple(names.get(who, "somebody who is not on the list") for who in whom)
    return (Cell(said or state.words, mark=state, under=how), Cell(str(len(whom))), Cell(items=listed))


def _patterns(facts: CampListFacts, names: Mapping[UUID, str]) -> Iterator[Block]:
    found = facts.inventory
    if not found.test_rungs:
        return
    yield Heading(
        "Patterns over the test rungs",
        aside=f"a later rung {found.met} before an earlier one is a reversal",
    )
    columns = (
        *(Column(rung_name(facts.ladder, key, short=True), share=0.9) for key in found.test_rungs),
        Column("How many", "number", share=0),
        Column("Who", share=3.2),
    )
    met = [row.met if (row := found.rung(key)) else State.ALONE.words for key in found.test_rungs]
    yield Table(columns, tuple(_pattern(one, met, names) for one in found.patterns if one.athletes))
    if found.reversals:
        told = tuple(_reversal(one, facts.ladder, names) for one in found.reversals)
        yield Together(
            (Heading("Exceptions", level=3, aside="reversals, shown and never corrected"), Bullets(told))
        )
    else:
        yield Paragraph("No reversals at this camp.", quiet=True)


def _reversal(one: Reversal, ladder: Ladder, names: Mapping[UUID, str]) -> tuple[Span, ...]:
    later, earlier = (rung_name(ladder, key, short=True) for key in (one.later, one.earlier))
    who = names.get(one.athlete, "somebody")
    met, asked = (met_words(ladder.rung(key).standard).partition(" (")[0] for key in (one.later, one.earlier))
    return (Span(f"{who}: ", strong=True), Span(f"{later} {met}, {earlier} shown and not {asked}."))


def _pattern(one: Pattern, met: Sequence[str], names: Mapping[UUID, str]) -> tuple[Cell, ...]:
    marks = tuple(
        Cell(mark.words(words.partition(" (")[0]).removeprefix("shown, "), strong=mark is Mark.ALONE)
        for mark, words in zip(one.marks, met, strict=True)
    )
    listed = tuple(names.get(who, "somebody") for who in one.athletes)
    under = "a reversal" if one.reversal else ""
    return (*marks, Cell(str(len(listed))), Cell(items=listed, under=under))


def _expected(facts: CampListFacts) -> Iterator[Block]:
    if not facts.expected:
        return
    yield Heading("Expected and seen", aside="worked out from the camps before, in the second ink")
    yield Bullets(tuple(sentence(one.sentence) for one in facts.expected))
    if any(one.verdict is not Verdict.CANNOT_SAY for one in facts.expected):
        caption = "Solid: how many were seen so. Whisker: 95 of 100 such camps; diamond: their mean. Open: showed it."
        yield Figure(expected_bars(facts.expected, facts.ladder), caption)
