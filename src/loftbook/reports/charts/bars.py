"""Counts as bars in the first ink, what follows from them as whiskers in the second."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from loftbook.insight.expectation import Expected, Verdict
from loftbook.insight.inventory import Inventory
from loftbook.insight.standing import met_by_all, met_words
from loftbook.ladder.rungs import Ladder
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

_ROW, _FOOT, _GAP = 40.0, 30.0, 14.0
_BESIDE = {Verdict.MORE: ", more seen", Verdict.FEWER: ", fewer seen"}


@dataclass(frozen=True)
class IntervalRow:
    """One line: how many were seen, and the interval that belongs to it; all in people.

    Meaning
        low, high : ends of the interval; `middle` its mean, where it has one
        of : among how many, drawn as an open bar behind the solid one
        said, found : the count and the finding in words, printed beside the line
    """

    label: str
    seen: float
    low: float
    high: float
    middle: float | None = None
    of: float | None = None
    said: str = ""
    found: str = ""


@dataclass(frozen=True)
class _Frame:
    """Where the labels end, where the words begin, and how many people a pixel is."""

    left: float
    right: float
    width: float
    total: float

    def at(self, people: float) -> float:
        share = min(max(people / self.total, 0.0), 1.0)
        return self.left + (self.right - self.left) * share


def interval_bars(
    title: str, rows: Sequence[IntervalRow], *, total: float, unit: str = "athletes", width: float = 680
) -> Drawing:
    """Each count as a solid bar, its interval as a whisker of the second ink under it.

    Meaning
        title : what the picture is about, the first words of its description
        total : the end of the scale, in people (at least 1)
        width : in CSS pixels

    >>> interval_bars("Who did it alone", [IntervalRow("Double tuck", 3, 1.3, 3)], total=4).alt
    'Who did it alone. Double tuck: 3 (1.3 to 3).'
    """
    frame = _frame(rows, width, max(total, 1.0))
    foot = _ROW * len(rows) + 6
    parts = _scale(frame, foot, unit)
    for index, row in enumerate(rows):
        parts.append(_line(row, frame, _ROW * index + 6))
    told = " ".join(f"{row.label}: {_said(row)} ({_found(row)})." for row in rows)
    alt = f"{title}. {told}" if rows else f"{title}: nothing to show."
    return drawing(parts, alt=alt, width=width, height=foot + _FOOT)


def share_bars(inventory: Inventory, ladder: Ladder, *, width: float = 680) -> Drawing:
    """On each rung how many met its standard, among those who showed it, with the 95 % interval of that share."""
    rows = [
        IntervalRow(
            label=ladder.rung(one.rung).short,
            seen=len(one.alone),
            low=one.share.low * one.shown,
            high=one.share.high * one.shown,
            of=one.shown,
            said=f"{len(one.alone)} of {one.shown}",
            found=one.share.words if one.shown else "nobody showed it",
        )
        for one in inventory.rungs
    ]
    title = f"How many did each rung {inventory.met}, among those who showed it, with the 95 % interval of the share"
    return interval_bars(title, rows, total=len(inventory.squad), width=width)


def expected_bars(expected: Sequence[Expected], ladder: Ladder, *, width: float = 680) -> Drawing:
    """On each rung how many met its standard, against the range that earlier camps let one expect.

    Rungs of which nobody can say stay out; the diamond is the mean of what was expected.
    """
    told = [one for one in expected if one.verdict is not Verdict.CANNOT_SAY]
    rows = [
        IntervalRow(
            label=ladder.rung(one.rung).short,
            seen=one.seen,
            low=one.low,
            high=one.high,
            middle=one.mean,
            of=one.people,
            said=f"{one.seen} of {one.people}",
            found=f"{one.low} to {one.high} expected{_BESIDE.get(one.verdict, '')}",
        )
        for one in told
    ]
    total = max((one.people for one in told), default=1)
    met = met_by_all(met_words(ladder.rung(one.rung).standard) for one in told)
    return interval_bars(
        f"How many did each rung {met}, against what was expected", rows, total=total, width=width
    )


def _frame(rows: Sequence[IntervalRow], width: float, total: float) -> _Frame:
    names = max((text_width(row.label, 13) for row in rows), default=60) + 14
    told = max((max(text_width(_said(r), 13), text_width(_found(r), 11)) for r in rows), default=60) + 2
    left = min(names, width * 0.38)
    return _Frame(left, max(width - min(told, width * 0.34) - _GAP, left + 40), width, total)


def _said(row: IntervalRow) -> str:
    return row.said or f"{row.seen:g}"


def _found(row: IntervalRow) -> str:
    return row.found or f"{row.low:.3g} to {row.high:.3g}"


def _line(row: IntervalRow, frame: _Frame, top: float) -> str:
    base = top + 14
    parts = [words(shortened(row.label, 13, frame.left - 10), 0, base + 4, font_size=13)]
    if row.of is not None:
        parts.append(_bar(frame, row.of, base, solid=False))
    parts.append(_bar(frame, row.seen, base, solid=True))
    if row.of != 0:
        parts += _whisker(row, frame, base + 12)
    x = frame.right + _GAP
    parts.append(words(_said(row), x, base + 2, font_size=13, font_weight=600))
    fit = shortened(_found(row), 11, frame.width - x)
    parts.append(words(fit, x, base + 17, font_size=11, fill=FINDING))
    return grouped(parts, title=f"{row.label}: {_said(row)} ({_found(row)})")


def _bar(frame: _Frame, people: float, base: float, *, solid: bool) -> str:
    x = frame.at(0)
    wide = frame.at(people) - x
    fill = INK if solid else PAPER
    return element(
        "rect", x=x, y=base - 5, width=wide, height=10, fill=fill, stroke=INK, stroke_width=1 if wide else 0
    )


def _whisker(row: IntervalRow, frame: _Frame, y: float) -> list[str]:
    low, high = frame.at(row.low), frame.at(row.high)
    ends = [(low, y, high, y), (low, y - 4, low, y + 4), (high, y - 4, high, y + 4)]
    strokes = [
        element("line", x1=a, y1=b, x2=c, y2=d, stroke=FINDING, stroke_width=1.6) for a, b, c, d in ends
    ]
    if row.middle is not None:
        x = frame.at(row.middle)
        shape = f"M{x:.2f} {y - 4:.2f}L{x + 4:.2f} {y:.2f}L{x:.2f} {y + 4:.2f}L{x - 4:.2f} {y:.2f}Z"
        strokes.append(element("path", d=shape, fill=PAPER, stroke=FINDING, stroke_width=1.6))
    return strokes


def _scale(frame: _Frame, foot: float, unit: str) -> list[str]:
    parts = []
    for people in _ticks(frame.total):
        x = frame.at(people)
        parts.append(element("line", x1=x, y1=0, x2=x, y2=foot, stroke=HAIR, stroke_width=0.75))
        anchor = "start" if people == 0 else "middle"
        parts.append(words(f"{people:g}", x, foot + 14, font_size=11, fill=QUIET, text_anchor=anchor))
    parts.append(words(unit, frame.right + _GAP, foot + 14, font_size=11, fill=QUIET))
    return parts


def _ticks(total: float) -> list[float]:
    """Round numbers of people from none to the end of the scale, six at most."""
    step = next(step for k in range(9) for step in (10**k, 2 * 10**k, 5 * 10**k) if total / step <= 5)
    return [float(n * step) for n in range(int(total // step) + 1)]
