"""The evidence for one rung as a page: seen, measured, missing, against, the checklist, and who decided.

It concludes nothing. The decision stands last, as the fact that a named person made it.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from uuid import UUID

from loftbook.book.deciding import Decision
from loftbook.book.people import Athlete, Camp
from loftbook.insight.evidence import Evidence, Seen
from loftbook.insight.evidence_known import Point
from loftbook.ladder.rungs import Ladder
from loftbook.reports.dates import day, days
from loftbook.reports.page import (
    Block,
    Bullets,
    Heading,
    KeyValue,
    Note,
    Page,
    Paragraph,
    Span,
    Together,
    WriteIn,
)
from loftbook.reports.sheets.wording import edition_words, rung_name
from loftbook.reports.table import Cell, Column, Table
from loftbook.reports.texts import Texts, texts

_PARTS = ("told", "measured", "missing", "against")


@dataclass(frozen=True)
class EvidenceFacts:
    """All that the page tells: whose, about what, and the camps by which turns are told."""

    athlete: Athlete
    ladder: Ladder
    camps: Mapping[UUID, Camp]
    evidence: Evidence


def compose(facts: EvidenceFacts, say: Texts | None = None) -> Page:
    """The page; `say` holds the texts of a language, English if None."""
    say, found = say or texts(), facts.evidence
    blocks: list[Block] = [Note(say("evidence.note"))]
    blocks += _seen(facts, say)
    for part in _PARTS:
        blocks += _points(part, getattr(found, part), say)
    blocks += [_checklist(facts, say), Together(tuple(_decided(found, say)))]
    if facts.ladder.cautions:
        blocks.append(Note("", title=say("sheet.cautions"), caution=True, points=facts.ladder.cautions))
    return Page(
        title=facts.athlete.name.full,
        blocks=tuple(blocks),
        kicker=say("evidence.kicker"),
        subtitle=say("evidence.subtitle", rung=found.rung.name, day=day(found.today)),
        footer=say("evidence.footer", edition=edition_words(facts.ladder)),
        invented=facts.athlete.invented,
    )


def point_words(part: str, point: Point, say: Texts | None = None) -> str:
    """One point in words, without its day.

    >>> point_words("missing", Point("no_height", {}))
    'No height is written down, so nothing can be said of growth.'
    """
    say = say or texts()
    told = {key: value or say("sheet.nobody_named") for key, value in point.values.items()}
    return say(f"evidence.{part}.{point.kind}", **told)


def _seen(facts: EvidenceFacts, say: Texts) -> Iterator[Block]:
    yield Heading(say("evidence.seen.title"))
    if not facts.evidence.seen:
        yield Paragraph(say("evidence.seen.none"))
        return
    columns = (
        Column(say("evidence.seen.rung"), share=1.0),
        Column(say("evidence.seen.camp"), share=1.0),
        Column(say("evidence.seen.how"), share=1.6),
        Column(say("evidence.seen.often"), share=1.2),
        Column(say("evidence.seen.interval"), "number", share=0.95),
        Column(say("evidence.seen.by"), share=1.2),
    )
    rows = tuple(_seen_row(facts, one, say) for one in facts.evidence.seen)
    yield Table(columns, rows, say("evidence.seen.caption"))


def _seen_row(facts: EvidenceFacts, one: Seen, say: Texts) -> tuple[Cell, ...]:
    camp = facts.camps.get(one.camp)
    nowhere = say("evidence.seen.no_place")
    start = one.take_off.words if one.take_off else nowhere
    end = one.landing.words if one.landing else nowhere
    ways = [
        say.count(f"evidence.seen.{way}", number)
        for way, number in (("short", one.short), ("over", one.over))
        if number
    ]
    met = say("evidence.seen.met", met=one.met)
    return (
        Cell(rung_name(facts.ladder, one.rung, short=True)),
        Cell(camp.name if camp else "", under=camp.bed if camp else ""),
        Cell(one.help.words if one.help else say("evidence.seen.no_help"), under=f"{start}, {end}"),
        Cell(say("evidence.seen.count", done=one.done, turns=one.turns), under="; ".join([met, *ways])),
        Cell(one.share.words.replace(" ", "\N{NO-BREAK SPACE}"), finding=True),
        Cell(", ".join(one.raters), under=days(one.first, one.last)),
    )


def _points(part: str, points: Sequence[Point], say: Texts) -> Iterator[Block]:
    head = Heading(say(f"evidence.{part}.title"))
    if not points:
        yield Together((head, Paragraph(say(f"evidence.{part}.none"), quiet=True)))
        return
    found = part == "measured"
    rows = tuple(
        (
            Span(point_words(part, one, say), finding=found and one.kind != "height"),
            Span(f" {_when(part, one, say)}"),
        )
        for one in points
    )
    yield Together((head, Bullets(rows)))
    if found and any(one.kind != "height" for one in points):
        yield Paragraph(say("evidence.measured.caption"), quiet=True)


def _when(part: str, one: Point, say: Texts) -> str:
    if one.on is not None:
        return f"{day(one.on)}."
    return say("evidence.measured.no_day") if part == "measured" else ""


def _checklist(facts: EvidenceFacts, say: Texts) -> Block:
    lists = facts.ladder.lists
    dated = day(facts.ladder.lists_dated or facts.ladder.dated)
    aside = (
        say("evidence.checklist.own", edition=lists, day=dated)
        if lists
        else say("evidence.checklist.aside", edition=edition_words(facts.ladder))
    )
    head = Heading(say("evidence.checklist.title"), aside=aside)
    if not facts.evidence.checklist:
        return Together((head, Paragraph(say("evidence.checklist.none"), quiet=True)))
    note = Paragraph(say("evidence.checklist.note"), quiet=True)
    return Together((head, Bullets(facts.evidence.checklist), note))


def _decided(found: Evidence, say: Texts) -> Iterator[Block]:
    yield Heading(say("evidence.decision.title"))
    one = found.decision
    if one is None:
        yield Paragraph(say("evidence.decision.none"))
    else:
        yield Paragraph((Span(say("evidence.decision.line", decided=_sentence(one)), strong=True),))
        yield KeyValue(_pairs(one, found, say))
    past = [say("evidence.decision.earlier_line", **_told(other)) for other in found.decisions[1:]]
    past += [say("evidence.decision.corrected", **_told(other)) for other in found.corrected]
    if past:
        yield Heading(say("evidence.decision.earlier"), level=3)
        yield Bullets(tuple(past))
    if one is None or one.is_past(found.today):
        yield WriteIn(say("evidence.decision.write"), say("evidence.decision.write_hint"))


def _pairs(one: Decision, found: Evidence, say: Texts) -> tuple[tuple[str, str], ...]:
    review = day(one.review)
    return (
        (say("evidence.decision.by"), ", ".join((one.by, one.qualified))),
        (say("evidence.decision.on"), day(one.on)),
        (say("evidence.decision.reason"), one.reason),
        (
            say("evidence.decision.review"),
            say("evidence.decision.past", review=review) if one.is_past(found.today) else review,
        ),
        (say("evidence.decision.edition"), one.edition),
    )


def _sentence(one: Decision) -> str:
    words = one.decided.words
    return f"{words[:1].upper()}{words[1:]}."


def _told(one: Decision) -> dict[str, str]:
    return {
        "on": day(one.on),
        "decided": one.decided.words,
        "by": one.by,
        "qualified": one.qualified,
        "reason": one.reason,
    }
