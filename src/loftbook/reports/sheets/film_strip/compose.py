"""A strip of stills on paper, with the curves and readings of the film under it; no child’s name stands on it."""

from __future__ import annotations

from base64 import b64encode
from collections.abc import Sequence
from dataclasses import dataclass

from loftbook.reports.charts.drawing import Drawing, drawing, element
from loftbook.reports.page import Block, Figure, Heading, KeyValue, Note, Page, Paragraph

_WIDE = 680.0  # as wide as a page


@dataclass(frozen=True)
class StripFacts:
    """What the sheet shows: the picture, the curves where there are some, and readings as name and words."""

    png: bytes
    title: str
    verdict: str
    readings: Sequence[tuple[str, str]]
    curves: Drawing | None
    invented: bool


def compose(facts: StripFacts) -> Page:
    """The sheet as a page.

    Raises nothing; the picture is set as wide as the page.
    """
    blocks: list[Block] = [
        Figure(_still(facts.png, facts.title), "From take-off to landing, at even times."),
        Paragraph(facts.verdict),
    ]
    if facts.readings:
        blocks += [Heading("Measured"), KeyValue(tuple((name, words) for name, words in facts.readings))]
    if facts.curves is not None:
        blocks += [Heading("Through time"), Figure(facts.curves)]
    blocks.append(
        Note(
            "Doubles are taught by a qualified coach, on suitable mats and rig. The rules of your own federation come "
            "first. Stop on pain or fear.",
            title="Caution",
            caution=True,
        )
    )
    return Page(
        title=facts.title,
        blocks=tuple(blocks),
        kicker="From film",
        footer="Loftbook measures and reminds. A qualified coach decides.",
        invented=facts.invented,
    )


def _still(png: bytes, title: str) -> Drawing:
    """The picture inside a drawing; its size stands in the first part of every PNG (W3C PNG, 11.2.1)."""
    wide, high = int.from_bytes(png[16:20], "big"), int.from_bytes(png[20:24], "big")
    height = _WIDE * high / wide
    source = f"data:image/png;base64,{b64encode(png).decode()}"
    picture = element("image", href=source, x=0, y=0, width=_WIDE, height=height)
    return drawing([picture], alt=f"Stills of one turn side by side: {title}", width=_WIDE, height=height)
