"""One gymnast's rungs over her camps in one picture: a row for each rung, a column for each camp."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from loftbook.book.people import Camp
from loftbook.insight.inventory import helped_words, told_words
from loftbook.insight.standing import Standing, State, met_by_all
from loftbook.ladder.rungs import Ladder, Rung
from loftbook.ladder.scales import Help
from loftbook.reports.charts.drawing import (
    HAIR,
    INK,
    QUIET,
    Drawing,
    drawing,
    element,
    grouped,
    shortened,
    text_width,
    words,
)
from loftbook.reports.charts.marks import MARK_ORDER, mark_strokes
from loftbook.reports.dates import MONTHS, month

_HEAD, _ROW, _LEGEND, _MARK = 42.0, 34.0, 24.0, 20.0


@dataclass(frozen=True)
class CampResults:
    """One gymnast's standings at one camp."""

    camp: Camp
    standings: tuple[Standing, ...]


@dataclass(frozen=True)
class _Grid:
    """Where things stand: width of the row names, of a column, of the whole."""

    names: float
    column: float
    width: float

    def middle(self, index: int) -> float:
        return self.names + self.column * (index + 0.5)

    @property
    def spoken(self) -> bool:
        """Whether a word has room beside each form."""
        return self.column >= 92


def rung_history(
    name: str,
    ladder: Ladder,
    results: Sequence[CampResults],
    *,
    rungs: Sequence[str] | None = None,
    width: float = 680,
) -> Drawing:
    """Her rungs over her camps: solid where alone, half where with help, open where tried, flat where blank.

    Meaning
        results : oldest first; the last column is set strong
        rungs : keys; None takes the test rungs and every other rung with a record, in ladder order
        width : in CSS pixels; below 92 for a camp the words move into a legend under the picture
    """
    rows = _rows(ladder, results, rungs)
    grid = _grid(rows, len(results), width)
    parts = _heads(results, grid)
    for index, rung in enumerate(rows):
        parts += _row(rung, results, grid, _HEAD + _ROW * index)
    foot = _HEAD + _ROW * len(rows)
    parts.append(element("line", x1=0, y1=foot, x2=width, y2=foot, stroke=HAIR, stroke_width=0.75))
    height = foot + 2
    if not grid.spoken:
        legend, height = _legend(_states(rows, results), width, foot)
        parts += legend
    return drawing(parts, alt=_told(name, rows, results), width=width, height=height)


def _rows(ladder: Ladder, results: Sequence[CampResults], keys: Sequence[str] | None) -> tuple[Rung, ...]:
    if keys is not None:
        return tuple(rung for rung in ladder.rungs if rung.key in keys)
    met = {s.rung for result in results for s in result.standings if s.state is not State.NO_RECORD}
    return tuple(rung for rung in ladder.rungs if rung.tested or rung.key in met)


def _grid(rows: Sequence[Rung], camps: int, width: float) -> _Grid:
    widest = max((text_width(rung.short, 13) for rung in rows), default=60) + 12
    names = min(max(widest, 60), width * 0.34)
    return _Grid(names, min((width - names) / max(camps, 1), 170), width)


def _heads(results: Sequence[CampResults], grid: _Grid) -> list[str]:
    """Name and month over each column; where columns are narrow, month and year alone."""
    parts = []
    for index, result in enumerate(results):
        weight = 600 if index == len(results) - 1 else 400
        upper, lower = _head(result.camp, grid)
        anchor = "start" if grid.spoken else "middle"
        x = grid.names + grid.column * index if grid.spoken else grid.middle(index)
        head = [
            words(upper, x, 14, font_size=12 if grid.spoken else 11, font_weight=weight, text_anchor=anchor),
            words(lower, x, 30, font_size=11, fill=QUIET, text_anchor=anchor),
        ]
        parts.append(grouped(head, title=f"{result.camp.name}, {month(result.camp.starts)}"))
    return parts


def _head(camp: Camp, grid: _Grid) -> tuple[str, str]:
    if grid.spoken:
        return shortened(camp.name, 12, grid.column - 8), month(camp.starts)
    year = f"{camp.starts.year}" if grid.column > 34 else f"’{camp.starts.year % 100:02}"
    return MONTHS[camp.starts.month - 1][:3], year


def _row(rung: Rung, results: Sequence[CampResults], grid: _Grid, top: float) -> list[str]:
    base = top + _ROW * 0.68
    parts = [
        element("line", x1=0, y1=top, x2=grid.width, y2=top, stroke=HAIR, stroke_width=0.75),
        words(shortened(rung.short, 13, grid.names - 8), 0, base, font_size=13),
    ]
    for index, result in enumerate(results):
        standing = standing_on(result, rung)
        if standing is not None:
            parts.append(_place(standing, rung, result, grid, (index, base)))
    return parts


def _place(standing: Standing, rung: Rung, result: CampResults, grid: _Grid, place: tuple[int, float]) -> str:
    index, base = place
    title = f"{rung.short}, {result.camp.name}: {told_words(standing)}"
    size = min(_MARK, grid.column - 3)
    if not grid.spoken:
        return grouped(mark_strokes(standing.state, x=grid.middle(index), y=base, size=size), title=title)
    left = grid.names + grid.column * index
    strokes = mark_strokes(standing.state, x=left + size / 2, y=base, size=size)
    fit = _fitting(_word(standing), grid.column - size - 12)
    return grouped([*strokes, words(fit, left + size + 5, base, font_size=11.5)], title=title)


def standing_on(result: CampResults, rung: Rung) -> Standing | None:
    """What that camp says of her on this rung, if it says anything."""
    found = [s for s in result.standings if s.rung == rung.key and s.state is not State.NO_RECORD]
    return found[-1] if found else None


def _word(standing: Standing) -> str:
    """The shortest word that still says it: which help, or how a try went."""
    if standing.state is State.HELPED:
        plain = standing.help is not None and standing.help < Help.NOBODY_IN
        return standing.help.brief if standing.help is not None and plain else helped_words(standing)
    if standing.state is State.TRIED and standing.why_not_alone:
        return f"tried, {standing.why_not_alone}"
    return standing.words.removesuffix(" today")


def _fitting(word: str, room: float) -> str:
    """The word, without what stands in brackets where that is too long for the place."""
    short = word if text_width(word, 11.5) <= room else word.partition(" (")[0]
    return shortened(short, 11.5, room)


def _states(rows: Sequence[Rung], results: Sequence[CampResults]) -> dict[State, str]:
    """The states that the picture shows, each with its word for the legend."""
    found = [s for rung in rows for result in results if (s := standing_on(result, rung))]
    words_of = {state: {s.words for s in found if s.state is state} for state in MARK_ORDER}
    return {
        state: met_by_all(told) if state is State.ALONE else state.words
        for state, told in words_of.items()
        if told
    }


def _legend(states: Mapping[State, str], width: float, foot: float) -> tuple[list[str], float]:
    """Each form in use with its word, wrapped to the width; and how far down that reaches."""
    parts, x, y = [], 0.0, foot + _LEGEND
    for state, word in states.items():
        room = 16 + 5 + text_width(word, 11) + 12
        if x and x + room > width:
            x, y = 0.0, y + 20
        parts += mark_strokes(state, x=x + 8, y=y, size=16)
        parts.append(words(word, x + 21, y, font_size=11, fill=INK))
        x += room
    return parts, y + 6


def _told(name: str, rows: Sequence[Rung], results: Sequence[CampResults]) -> str:
    """The picture in words, rung by rung."""
    if not rows or not results:
        return f"Rungs of {name}: nothing written yet."
    count = "1 camp" if len(results) == 1 else f"{len(results)} camps"
    lines = [f"Rungs of {name} over {count}, oldest first."]
    for rung in rows:
        told = [
            f"{result.camp.name} ({month(result.camp.starts)}) {told_words(standing)}"
            for result in results
            if (standing := standing_on(result, rung))
        ]
        lines.append(f"{rung.short}: {'; '.join(told) or 'nothing written'}.")
    return " ".join(lines)
