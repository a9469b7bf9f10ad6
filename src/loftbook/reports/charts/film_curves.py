"""One film, or two laid over each other at take-off: height, somersault, hip and knee against time."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from itertools import pairwise
from math import ceil, floor

from loftbook.reports.charts.drawing import (
    FINDING,
    HAIR,
    INK,
    QUIET,
    Drawing,
    drawing,
    element,
    shortened,
    words,
)

Values = Sequence[float | None]


@dataclass(frozen=True)
class FilmCurves:
    """What one film gave, through time.

    Units
        times : s from take-off; height : m over take-off; somersault : °, backward positive, 0 upright; hip, knee : °
        of flexion, 0 straight; marks : a word and its s from take-off
    """

    label: str
    times: Sequence[float]
    height: Values
    somersault: Values
    hip: Values
    knee: Values
    marks: Mapping[str, float] = field(default_factory=dict)


_LEFT, _RIGHT, _TOP, _ROW, _GAP, _FOOT = 40.0, 12.0, 44.0, 118.0, 30.0, 24.0
_DASHES = ("none", "6 4")


def film_curves(films: Sequence[FilmCurves], *, width: float = 620) -> Drawing:
    """Three rows under one clock that starts at take-off; the second film is broken where the first is whole.

    >>> one = FilmCurves("this film", [0.0, 0.5, 1.0], [0, 1.2, 0], [0, 200, 400], [10, 120, 20], [5, 100, 10])
    >>> film_curves([one]).alt
    'this film: highest 1.20 m over take-off; hip bent up to 120°, knee up to 100°; turned 400° in 1.00 s.'
    """
    rows: tuple[tuple[str, list[tuple[FilmCurves, Values, str]]], ...] = (
        ("Height of the mass centre over take-off, m", [(f, f.height, "") for f in films]),
        ("Somersault, turns from upright", [(f, _turns(f.somersault), "") for f in films]),
        (
            "Flexion of hip (h) and knee (k), °",
            [(f, v, k) for f in films for v, k in ((f.hip, "h"), (f.knee, "k"))],
        ),
    )
    height = _TOP + len(rows) * _ROW + (len(rows) - 1) * _GAP + _FOOT
    start = min((f.times[0] for f in films if f.times), default=0.0)
    end = max((f.times[-1] for f in films if f.times), default=1.0)
    across = _Scale(start, max(end, start + 0.1), _LEFT, width - _RIGHT)
    parts = _legend(films, width)
    for n, (title, lines) in enumerate(rows):
        top = _TOP + n * (_ROW + _GAP)
        parts += _row(title, lines, across, (top, top + _ROW), films)
    parts += _clock(across, height - _FOOT)
    return drawing(parts, alt=" ".join(_said(f) for f in films), width=width, height=height)


@dataclass(frozen=True)
class _Scale:
    """From a value to a place in the picture."""

    low: float
    high: float
    start: float
    end: float

    def __call__(self, value: float) -> float:
        return self.start + (value - self.low) / (self.high - self.low) * (self.end - self.start)


def _turns(degrees: Values) -> list[float | None]:
    return [None if value is None else value / 360 for value in degrees]


def _row(
    title: str,
    lines: Sequence[tuple[FilmCurves, Values, str]],
    across: _Scale,
    edges: tuple[float, float],
    films: Sequence[FilmCurves],
) -> list[str]:
    top, foot = edges
    known = [v for _, values, _ in lines for v in values if v is not None] or [0.0, 1.0]
    step = _step(max(known) - min(known))
    low, high = floor(min(known) / step) * step, max(ceil(max(known) / step) * step, step)
    down = _Scale(low, high if high > low else low + step, foot, top)
    parts = [words(title, 0, top - 8, font_size=12.5, font_weight=600)]
    for k in range(round((down.high - low) / step) + 1):
        value = low + k * step
        parts += [
            element(
                "line", x1=_LEFT, x2=across.end, y1=down(value), y2=down(value), stroke=HAIR, stroke_width=0.8
            ),
            words(
                f"{value:g}".replace("-", "−"),
                _LEFT - 6,
                down(value) + 4,
                font_size=11,
                fill=QUIET,
                text_anchor="end",
            ),
        ]
    if films:
        parts += [
            element(
                "line",
                x1=across(t),
                x2=across(t),
                y1=top,
                y2=foot,
                stroke=QUIET,
                stroke_width=0.8,
                stroke_dasharray="2 3",
            )
            for t in films[0].marks.values()
        ]
    for film, values, letter in lines:
        parts += _line(film, values, across, down, dash=_DASHES[films.index(film) % 2], letter=letter)
    return parts


def _line(
    film: FilmCurves, values: Values, across: _Scale, down: _Scale, *, dash: str, letter: str
) -> list[str]:
    """One curve, broken where nothing is known."""
    strokes: list[list[str]] = [[]]
    for (t, v), (_, after) in pairwise([*zip(film.times, values, strict=True), (0.0, None)]):
        if v is not None:
            strokes[-1].append(f"{across(t):.1f},{down(v):.1f}")
        if v is None or after is None:
            strokes.append([])
    parts = [
        element(
            "polyline",
            points=" ".join(stroke),
            fill="none",
            stroke=FINDING,
            stroke_width=1.8,
            stroke_linejoin="round",
            stroke_dasharray=dash,
        )
        for stroke in strokes
        if len(stroke) > 1
    ]
    peak = max(((v, t) for t, v in zip(film.times, values, strict=True) if v is not None), default=None)
    if letter and peak is not None and dash == "none":
        at = (across(peak[1]), down(peak[0]) - 4)
        parts.append(
            words(letter, at[0], max(at[1], down.end + 9), font_size=12, fill=FINDING, text_anchor="middle")
        )
    return parts


def _step(span: float) -> float:
    return next(
        (step for step in (0.1, 0.25, 0.5, 1, 2, 5, 10, 20, 45, 90, 180) if span / step <= 4.5), 360.0
    )


def _legend(films: Sequence[FilmCurves], width: float) -> list[str]:
    parts = []
    for n, film in enumerate(films[:2]):
        x = n * width / 2
        stroke = {"stroke": FINDING, "stroke_dasharray": _DASHES[n]}
        parts.append(element("line", "", x1=x, x2=x + 26, y1=9, y2=9, stroke_width=1.8, **stroke))
        parts.append(words(shortened(film.label, 12.5, width / 2 - 40), x + 32, 13, font_size=12.5))
    return parts


def _clock(across: _Scale, y: float) -> list[str]:
    step = 0.2 if across.high - across.low > 1 else 0.1
    parts = []
    for k in range(ceil(across.low / step), floor(across.high / step) + 1):
        t = k * step
        mark = "take-off" if k == 0 else f"{t:.1f}".replace("-", "−")
        parts.append(element("line", x1=across(t), x2=across(t), y1=y, y2=y + 4, stroke=INK, stroke_width=1))
        if abs(t) < 1e-9 or across(abs(t)) - across(0) > 30:
            parts.append(words(mark, across(t), y + 17, font_size=11, fill=QUIET, text_anchor="middle"))
    parts.append(words("s", across.end, y + 17, font_size=11, fill=QUIET, text_anchor="end"))
    return parts


def _said(film: FilmCurves) -> str:
    def most(values: Values) -> float | None:
        return max((v for v in values if v is not None), default=None)

    told = []
    if (high := most(film.height)) is not None:
        told.append(f"highest {high:.2f} m over take-off")
    hip, knee = most(film.hip), most(film.knee)
    if hip is not None and knee is not None:
        told.append(f"hip bent up to {hip:.0f}°, knee up to {knee:.0f}°")
    turned = [v for v in film.somersault if v is not None]
    if len(turned) > 1:
        told.append(f"turned {turned[-1] - turned[0]:.0f}° in {film.times[-1] - film.times[0]:.2f} s")
    return f"{film.label}: {'; '.join(told) or 'nothing is known'}."
