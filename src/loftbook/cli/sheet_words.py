"""A sheet as lines for a terminal: the words that stand on the paper, without its drawings."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from loftbook.reports.page import (
    Block,
    Bullets,
    Figure,
    Heading,
    KeyValue,
    Note,
    Page,
    Paragraph,
    Text,
    Together,
)
from loftbook.reports.table import Table


def page_lines(page: Page) -> Iterator[str]:
    """Title first, then block by block.

    >>> list(page_lines(Page("Mira", (Paragraph("A fine camp."),), kicker="Letter")))
    ['Mira', 'Letter', '', 'A fine camp.']
    """
    yield page.title
    yield ", ".join(part for part in (page.kicker, page.subtitle) if part)
    yield ""
    yield from _blocks(page.blocks)


def _blocks(blocks: Iterable[Block]) -> Iterator[str]:
    for block in blocks:
        yield from _block(block)


def _block(block: Block) -> Iterator[str]:  # one branch a kind of block
    if isinstance(block, Heading):
        yield ""
        yield block.text + (f" ({block.aside})" if block.aside else "")
    elif isinstance(block, Paragraph):
        yield _said(block.text)
    elif isinstance(block, KeyValue):
        yield from (f"  {name}: {_said(value)}" for name, value in block.pairs)
    elif isinstance(block, Bullets):
        yield from (f"  - {_said(item)}" for item in block.items)
    elif isinstance(block, Note):
        yield " ".join(part for part in (block.title, _said(block.text)) if part)
        yield from (f"  - {_said(point)}" for point in block.points)
    elif isinstance(block, Figure):
        yield block.drawing.alt
    elif isinstance(block, Together):
        yield from _blocks(block.blocks)
    elif isinstance(block, Table):
        yield from _table(block)


def _table(table: Table) -> Iterator[str]:
    for row in table.rows:
        told = [
            " / ".join(part for part in (cell.text or ", ".join(cell.items), cell.under) if part)
            for cell in row
        ]
        yield "  " + " | ".join(one for one in told if one)


def _said(text: Text) -> str:
    return text if isinstance(text, str) else "".join(span.text for span in text)
