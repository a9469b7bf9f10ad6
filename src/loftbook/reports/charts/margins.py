"""How far round, as bands: a line for just enough, and for each row the band in which she would come round.

Everything here is worked out, so it is in the second ink and never a point. The rows keep the order in which
they are given, which is the order of names; nobody is ranked.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from loftbook.insight.next_step import NextStep
from loftbook.insight.next_step_told import told_degrees
from loftbook.mechanics import Band
from loftbook.reports.charts.drawing import (
    FINDING,
    HAIR,
    INK,
    PAPER,
    QUIET,
    Drawing,
    drawing,
    element,
    grouped,
    shortened,
    text_width,
    words,
)

_ROW, _NARROW_ROW, _FOOT = 46.0, 64.0, 22.0
_NARROW = 480.0  # pixels; below it the words of a band stand under the name and not beside it
_LEAST, _MOST = -1.0, 0.5  # turns that the scale holds; a band beyond it ends in an arrow
_TICKS = ((-1.0, "360° short"), (-0.5, "180° short"), (0.0, "just enough"), (0.5, "180° to spare"))


@dataclass(frozen=True)
class MarginRow:
    """One line: whose or which rung, the band of turns over, and whether film or only a mark says so.

    Meaning
        over : turns more than wanted, negative is short; None where nothing says what she has
        filmed : True for a filled diamond, False for an open one
    """

    label: str
    over: Band | None
    filmed: bool = False
    instead: str = "nothing says how much spin she has"


def margin_bands(title: str, rows: Sequence[MarginRow], *, width: float = 680) -> Drawing:
    """Each row's band against the line of just enough; filled where film measured it, open where it is carried over.

    >>> margin_bands("Next rungs", [MarginRow("Open tuck", Band(-0.6, -0.33, -0.02))]).alt
    'Next rungs. Open tuck: 120° short (220° short to 10° short), carried over from a double that came round.'
    """
    tall = _tall(width)
    foot = tall * len(rows)
    parts = _scale(width, foot, len(rows))
    for place, row in enumerate(rows):
        parts.append(_row(row, tall * place, width))
    told = " ".join(f"{row.label}: {_said(row)}{_how(row)}." for row in rows)
    alt = f"{title}. {told}" if rows else f"{title}: nothing to show."
    return drawing(parts, alt=alt, width=width, height=foot + _FOOT)


def step_bands(name: str, steps: Sequence[NextStep], *, width: float = 680) -> Drawing:
    """One athlete's next rungs, each with its band."""
    rows = [
        MarginRow(
            step.shape.words.capitalize(),
            step.margin.over if step.margin else None,
            filmed=step.filmed,
        )
        for step in steps
    ]
    return margin_bands(f"How far {name} would come round in a double back", rows, width=width)


def group_bands(
    title: str, rows: Sequence[tuple[str, str, Band | None, bool]], *, width: float = 680
) -> Drawing:
    """Everybody at a camp, in the order of names: her name, her rung, the band of turns over, whether film says so."""
    made = [
        MarginRow(f"{name}, {rung[:1].lower()}{rung[1:]}" if rung else name, over, filmed=filmed)
        for name, rung, over, filmed in rows
    ]
    return margin_bands(title, made, width=width)


def _at(turns: float, width: float) -> float:
    share = (min(max(turns, _LEAST), _MOST) - _LEAST) / (_MOST - _LEAST)
    return 4 + (width - 8) * share


def _said(row: MarginRow) -> str:
    if row.over is None:
        return row.instead
    over = row.over
    return f"{told_degrees(over.middle)} ({told_degrees(over.least)} to {told_degrees(over.most)})"


def _how(row: MarginRow) -> str:
    if row.over is None:
        return ""
    return ", measured on film" if row.filmed else ", carried over from a double that came round"


def _tall(width: float) -> float:
    return _NARROW_ROW if width < _NARROW else _ROW


def _row(row: MarginRow, top: float, width: float) -> str:
    said, narrow = _said(row), width < _NARROW
    ink = QUIET if row.over is None else FINDING
    room = width if narrow else max(width - text_width(said, 12) - 16, 60)
    place: dict[str, str | float] = {} if narrow else {"text_anchor": "end"}
    parts = [
        words(shortened(row.label, 13, room), 0, top + 16, font_size=13, font_weight=600),
        words(said, 0 if narrow else width, top + (32 if narrow else 16), font_size=12, fill=ink, **place),
    ]
    y = top + _tall(width) - 15
    if row.over is None:
        parts.append(
            element(
                "line", x1=4, y1=y, x2=width - 4, y2=y, stroke=QUIET, stroke_width=1, stroke_dasharray="1 6"
            )
        )
    else:
        parts += _band(row.over, y, width, filled=row.filmed)
    return grouped(parts, title=f"{row.label}: {said}{_how(row)}")


def _band(over: Band, y: float, width: float, *, filled: bool) -> list[str]:
    low, high, middle = _at(over.least, width), _at(over.most, width), _at(over.middle, width)
    strokes = [element("line", x1=low, y1=y, x2=high, y2=y, stroke=FINDING, stroke_width=2)]
    for x, beyond, way in ((low, over.least < _LEAST, 1), (high, over.most > _MOST, -1)):
        if beyond:  # an arrow: it goes on
            path = f"M{x + way * 6:.2f} {y - 5:.2f}L{x:.2f} {y:.2f}L{x + way * 6:.2f} {y + 5:.2f}"
            strokes.append(element("path", d=path, fill="none", stroke=FINDING, stroke_width=2))
        else:
            strokes.append(element("line", x1=x, y1=y - 5, x2=x, y2=y + 5, stroke=FINDING, stroke_width=2))
    if _LEAST <= over.middle <= _MOST:
        shape = f"M{middle:.2f} {y - 6:.2f}L{middle + 6:.2f} {y:.2f}L{middle:.2f} {y + 6:.2f}L{middle - 6:.2f} {y:.2f}Z"
        strokes.append(
            element("path", d=shape, fill=FINDING if filled else PAPER, stroke=FINDING, stroke_width=1.8)
        )
    return strokes


def _scale(width: float, foot: float, rows: int) -> list[str]:
    """The lines stand beside the bands only, so that none runs through the words."""
    parts = []
    for turns, name in _TICKS:
        x, just = _at(turns, width), turns == 0.0
        ink, pen = (INK, 1.4) if just else (HAIR, 0.75)
        for row in range(rows):
            y = _tall(width) * (row + 1)
            parts.append(element("line", x1=x, y1=y - 24, x2=x, y2=y - 4, stroke=ink, stroke_width=pen))
        anchor = "start" if turns == _LEAST else "end" if turns == _MOST else "middle"
        place = 0.0 if turns == _LEAST else width if turns == _MOST else x
        if just or width > 480 or turns in (_LEAST, _MOST):
            parts.append(
                words(name, place, foot + 15, font_size=11, fill=INK if just else QUIET, text_anchor=anchor)
            )
    return parts
