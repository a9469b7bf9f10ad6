"""A page as plain data: dictionaries, lists and texts, as a template reads them."""

from __future__ import annotations

from typing import Any

from loftbook.insight.standing import State
from loftbook.reports.charts.drawing import clean, for_print
from loftbook.reports.charts.marks import state_mark
from loftbook.reports.page import (
    Block,
    Bullets,
    Figure,
    Heading,
    KeyValue,
    Note,
    Page,
    Paragraph,
    Span,
    Text,
    Together,
    WriteIn,
)
from loftbook.reports.table import Cell, Column, Table

Plain = dict[str, Any]


def as_plain(page: Page) -> Plain:
    """The page with every value told by its kind, drawings ready for print.

    >>> as_plain(Page("Mira", (Heading("Seen"),)))["blocks"]
    [{'kind': 'heading', 'text': 'Seen', 'level': 2, 'aside': ''}]
    """
    return {
        "title": clean(_named(page.title)),
        "kicker": clean(page.kicker),
        "subtitle": clean(page.subtitle),
        "footer": clean(page.footer),
        "author": clean(page.author),
        "invented": page.invented,
        "blocks": [_block(block) for block in page.blocks],
        "cover": [_block(block) for block in page.cover],
        "marks": {state.value: for_print(state_mark(state).svg) for state in State},
    }


def _block(block: Block) -> Plain:
    match block:
        case Heading():
            return {"kind": "heading"} | _texts(text=_named(block.text), level=block.level, aside=block.aside)
        case Paragraph():
            return {"kind": "paragraph", "text": _spans(block.text), "quiet": block.quiet}
        case KeyValue():
            pairs = [{"key": clean(key), "value": _spans(value)} for key, value in block.pairs]
            return {"kind": "keyvalue", "pairs": pairs, "small": block.small}
        case Bullets():
            items = [_spans(item) for item in block.items]
            return {"kind": "bullets", "items": items, "numbered": block.numbered}
        case Figure():
            return _figure(block)
        case Note():
            told = _texts(title=block.title, caution=block.caution)
            points = [_spans(point) for point in block.points]
            return {"kind": "note", "text": _spans(block.text), "points": points} | told
        case WriteIn():
            return {"kind": "writein"} | _texts(label=block.label, hint=block.hint)
        case Together():
            return {"kind": "together", "blocks": [_block(inner) for inner in block.blocks]}
        case Table():
            return _table(block)


def _named(title: str) -> str:
    """A title or heading; one without any letter becomes a dash, for a nameless one cannot be announced."""
    return title if clean(title).strip() else "–"


def _texts(**told: str | int | float) -> Plain:
    return {key: clean(value) if isinstance(value, str) else value for key, value in told.items()}


def _spans(text: Text) -> list[Plain]:
    spans = (Span(text),) if isinstance(text, str) else text
    return [
        _texts(text=one.text, strong=one.strong, emphasis=one.emphasis, finding=one.finding) for one in spans
    ]


def _figure(figure: Figure) -> Plain:
    drawn = figure.drawing
    told = _texts(alt=drawn.alt, width=drawn.width, caption=figure.caption)
    return {"kind": "figure", "svg": for_print(drawn.svg)} | told


def _table(table: Table) -> Plain:
    return {
        "kind": "table",
        "columns": [_column(column) for column in table.columns],
        "rows": [[_cell(cell) for cell in row] for row in table.rows],
        "caption": clean(table.caption),
    }


def _column(column: Column) -> Plain:
    return _texts(title=column.title, kind=column.kind, share=column.share)


def _cell(cell: Cell) -> Plain:
    told = _texts(
        text=cell.text, under=cell.under, strong=cell.strong, quiet=cell.quiet, finding=cell.finding
    )
    items = [clean(item) for item in cell.items]
    return told | {"mark": cell.mark.value if cell.mark else "", "items": items}
