"""A document as values: what stands on a page, in order, before anybody draws it.

A sheet composes a `Page`; `reports.pdf` sets it on paper. Nothing in a text is
markup: a star or a hash in a name is printed as it stands.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TypeAlias

from loftbook.reports.charts.drawing import Drawing
from loftbook.reports.table import Table


@dataclass(frozen=True)
class Span:
    """A few words with a voice of their own; `finding` sets them in the second ink."""

    text: str
    strong: bool = False
    emphasis: bool = False
    finding: bool = False


Text: TypeAlias = "str | tuple[Span, ...]"


@dataclass(frozen=True)
class Heading:
    """A heading of level 2 or 3 (the page's title is level 1), with quiet words beside it."""

    text: str
    level: int = 2
    aside: str = ""


@dataclass(frozen=True)
class Paragraph:
    """A paragraph; `quiet` is for what may be skipped at first reading."""

    text: Text
    quiet: bool = False


@dataclass(frozen=True)
class KeyValue:
    """A short list of names and what belongs to each; `small` sets it as an aside."""

    pairs: tuple[tuple[str, Text], ...]
    small: bool = False


@dataclass(frozen=True)
class Bullets:
    """A list, with numbers where the order says something."""

    items: tuple[Text, ...]
    numbered: bool = False


@dataclass(frozen=True)
class Figure:
    """A drawing with its caption; what it shows in words travels with the drawing.

    `narrow` is the same for a phone's screen, where the drawing itself is too wide for one.
    """

    drawing: Drawing
    caption: str = ""
    narrow: Drawing | None = None


@dataclass(frozen=True)
class Note:
    """Something set apart, with its points under it; a caution is framed and says that it is one."""

    text: Text
    title: str = ""
    caution: bool = False
    points: tuple[Text, ...] = ()


@dataclass(frozen=True)
class WriteIn:
    """A line that a person fills in by hand."""

    label: str
    hint: str = ""


@dataclass(frozen=True)
class Together:
    """Blocks that are not parted by the end of a page."""

    blocks: tuple[Block, ...]


Block: TypeAlias = "Heading | Paragraph | KeyValue | Bullets | Figure | Note | WriteIn | Together | Table"


@dataclass(frozen=True)
class Page:
    """A whole document: its title, what kind of sheet it is, and its blocks in order.

    `footer` stands small at the foot of each sheet of paper; `invented` marks each
    of them as made-up data. `cover` is for whoever sends the document and no part of it:
    on paper a sheet of its own in front, to be taken out.

    >>> Page("Mira", (Paragraph("A fine camp."),)).blocks[0].text
    'A fine camp.'
    """

    title: str
    blocks: tuple[Block, ...]
    kicker: str = ""
    subtitle: str = ""
    footer: str = ""
    author: str = ""
    invented: bool = False
    cover: tuple[Block, ...] = ()
