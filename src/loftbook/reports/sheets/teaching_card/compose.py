"""The teaching card: a planned flight to talk about, with its strip, its movements and how forgiving it is.

It names no child. It is a drawing of a model, says so, and carries the cautions.
"""

from __future__ import annotations

from dataclasses import dataclass

from loftbook.reports.charts.flight_strip import StripFigure, flight_strip, landing_fan
from loftbook.reports.page import Block, Bullets, Figure, Heading, Note, Page, Paragraph, Span
from loftbook.reports.table import Cell, Column, Table


@dataclass(frozen=True)
class CardMovement:
    """One movement of the plan: what, when it is done, and what 10 ms early or late do to the landing's twist."""

    name: str
    time: str
    early: str
    late: str


@dataclass(frozen=True)
class CardFacts:
    """All that a teaching card tells."""

    name: str
    body: str
    result: str
    figures: tuple[StripFigure, ...]
    movements: tuple[CardMovement, ...]
    landings: tuple[float, ...]
    forgiving: str
    model: str
    cautions: tuple[str, ...]
    link: str


def compose(facts: CardFacts) -> Page:
    """The card as a page."""
    blocks: list[Block] = [
        Paragraph((Span(facts.result, finding=True),)),
        Figure(
            flight_strip(facts.name, facts.figures),
            "Time to the right, height to scale; her left side is the thicker line. She leans an eighth of a turn at "
            "take-off, as in the studio: recorded doubles turn about a quarter less in the air than their name says.",
            narrow=flight_strip(facts.name, facts.figures[::2], width=330, height=200),
        ),
        Heading("Movements", aside="what 10 ms alone do to the landing"),
        Table(
            (
                Column("Movement", share=2.0),
                Column("Done at", "number", share=0),
                Column("10 ms early", "number", share=0),
                Column("10 ms late", "number", share=0),
            ),
            tuple(
                (Cell(one.name), Cell(one.time), Cell(one.early, finding=True), Cell(one.late, finding=True))
                for one in facts.movements
            ),
            "Which way the landing is turned from what is meant, or how far short or over where nothing twists.",
        ),
        Heading("How forgiving"),
        Figure(
            landing_fan("Landings", facts.landings),
            "Each stroke is one flight: which way she faces at landing, against what is meant.",
            narrow=landing_fan("Landings", facts.landings, width=330),
        ),
        Paragraph((Span(facts.forgiving, finding=True),)),
        Note(facts.model, title="What this is", caution=False),
        Note("", title="Cautions", caution=True, points=facts.cautions),
    ]
    if facts.link:
        blocks.append(Bullets((f"In the studio again by the end of its address: {facts.link}",)))
    return Page(
        title=facts.name,
        blocks=tuple(blocks),
        kicker="Teaching card",
        subtitle=facts.body,
        footer=facts.model,
    )
