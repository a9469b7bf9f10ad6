"""The belt list: which way each twists, what she did in the belt so far, and who decided what. It decides nothing."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import date
from uuid import UUID

from loftbook.book.deciding import Decision
from loftbook.book.people import Athlete, Camp
from loftbook.insight.evidence import Seen
from loftbook.insight.twistside import TwistSides
from loftbook.ladder.rungs import Ladder
from loftbook.reports.dates import day, days, month
from loftbook.reports.page import Block, Bullets, Heading, Note, Page, Paragraph, Together
from loftbook.reports.sheets.wording import edition_words, names_of, rung_name
from loftbook.reports.table import Cell, Column, Table
from loftbook.reports.texts import Texts, texts

_MOST = 3  # kinds of turn that are told of one child, the latest


@dataclass(frozen=True)
class BeltFacts:
    """All that the list tells: who is at the camp in running order, and of each the sides, the turns, the decisions."""

    camp: Camp
    ladder: Ladder
    athletes: tuple[Athlete, ...]
    bibs: Mapping[UUID, str]
    twist: Mapping[UUID, TwistSides]
    belt: Mapping[UUID, tuple[Seen, ...]]  # turns in a belt, the latest first
    decisions: Mapping[UUID, tuple[Decision, ...]]  # that stand, about rungs of the belt
    printed: date


def compose(facts: BeltFacts, say: Texts | None = None) -> Page:
    """The list as a page; `say` holds the texts of a language, English if None."""
    say = say or texts()
    blocks: list[Block] = [Note(say("belt.note")), *_checklists(facts, say), *_list(facts, say)]
    if facts.ladder.cautions:
        blocks.append(Note("", title=say("sheet.cautions"), caution=True, points=facts.ladder.cautions))
    return Page(
        title=facts.camp.name,
        blocks=tuple(blocks),
        kicker=say("belt.kicker"),
        subtitle=days(facts.camp.starts, facts.camp.ends),
        footer=say("belt.footer", edition=edition_words(facts.ladder), day=day(facts.printed)),
        invented=facts.camp.invented,
    )


def _checklists(facts: BeltFacts, say: Texts) -> Iterator[Block]:
    lines = [line for rung in facts.ladder.rungs if rung.belt for line in rung.checklist]
    if lines:
        head = Heading(say("belt.checklist.title"), aside=say("belt.checklist.aside"))
        yield Together((head, Bullets(tuple(dict.fromkeys(lines)))))


def _list(facts: BeltFacts, say: Texts) -> Iterator[Block]:
    names = names_of(facts.athletes)
    told = [one for one in facts.athletes if facts.belt.get(one.id) or facts.decisions.get(one.id)]
    yield Heading(say("belt.list.title"))
    if told:
        columns = (
            Column(say("belt.bib"), share=0),
            Column(say("belt.who"), share=1.3),
            Column(say("belt.twists"), share=1.0),
            Column(say("belt.column.belt"), share=2.6),
            Column(say("belt.column.decision"), share=1.6),
            Column(say("belt.today"), share=0.7),
        )
        yield Table(columns, tuple(_row(facts, one, names, say) for one in told))
    else:
        yield Paragraph(say("belt.list.none"))
    others = [names[one.id] for one in facts.athletes if one not in told]
    if others:
        text = say("belt.others.text", names=", ".join(others))
        yield Together((Heading(say("belt.others.title"), level=3), Paragraph(text, quiet=True)))


def _row(facts: BeltFacts, who: Athlete, names: Mapping[UUID, str], say: Texts) -> tuple[Cell, ...]:
    hers = facts.belt.get(who.id, ())
    belt = "; ".join(_turns(facts, one, say) for one in hers[:_MOST])
    before = say("belt.turns.before", n=len(hers) - _MOST) if len(hers) > _MOST else ""
    made = facts.decisions.get(who.id, ())
    return (
        Cell(facts.bibs.get(who.id, "")),
        Cell(names[who.id]),
        Cell(_twist(facts.twist.get(who.id), say)),
        Cell(belt or say("belt.turns.none"), quiet=not belt, under=before),
        Cell(_decision(facts, made[0], say), under=_review(facts, made[0], say))
        if made
        else Cell(say("belt.decision.none"), quiet=True),
        Cell(say("belt.room"), quiet=True),
    )


def _turns(facts: BeltFacts, one: Seen, say: Texts) -> str:
    return say(
        "belt.turns.line",
        rung=rung_name(facts.ladder, one.rung, short=True),
        done=one.done,
        turns=one.turns,
        help=one.help.brief if one.help else say("evidence.seen.no_help"),
        day=month(one.last),
    )


def _twist(sides: TwistSides | None, say: Texts) -> str:
    if sides is None or (sides.side is None and not sides.disagree):
        return say("belt.twist.none")
    if sides.one_side is False:
        skills = ", ".join(f"{one.name} {one.side.value}" for one in sides.disagree)
        return say("belt.twist.mixed", skills=skills)
    return say("belt.twist.one", side=sides.side.value if sides.side else "")


def _decision(facts: BeltFacts, one: Decision, say: Texts) -> str:
    rung = rung_name(facts.ladder, one.rung, short=True)
    return say("belt.decision.line", rung=rung, decided=one.decided.words, by=one.by, on=day(one.on))


def _review(facts: BeltFacts, one: Decision, say: Texts) -> str:
    return say(
        "belt.decision.past" if one.is_past(facts.printed) else "belt.decision.review", review=day(one.review)
    )
