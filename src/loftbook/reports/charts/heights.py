"""Standing height over time."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date
from itertools import pairwise

from loftbook.book.people import Height
from loftbook.reports.charts.drawing import (
    HAIR,
    INK,
    QUIET,
    Drawing,
    drawing,
    element,
    grouped,
    words,
)
from loftbook.reports.dates import day, month
from loftbook.units import cm_from_metres

_ERROR_CM = 0.5  # of one standing height, as commonly taken; own estimate, no source
_LEFT, _RIGHT, _TOP, _FOOT = 26.0, 26.0, 28.0, 26.0


def height_history(
    name: str, heights: Sequence[Height], *, width: float = 400, height: float = 170
) -> Drawing:
    """Her dated standing heights, each with its ± 0.5 cm; nothing is said about growing early or late.

    Heights without a day have no place on the line; the words of the picture count them.

    >>> height_history("Mira", [Height(1.40, date(2025, 4, 12))]).alt
    'Standing height of Mira, each within 0.5 cm: 140.0 cm on 12 April 2025.'
    """
    dated = sorted(((h.on, cm_from_metres(h.metres)) for h in heights if h.on), key=lambda pair: pair[0])
    undated = sum(1 for h in heights if h.on is None)
    if not dated:
        return drawing([], alt=f"Standing height of {name}: no dated height yet.", width=width, height=8)
    places = _places(dated, width, height)
    parts = [
        element("line", x1=x, y1=y, x2=u, y2=v, stroke=HAIR, stroke_width=1)
        for (x, y, _), (u, v, _) in pairwise(places)
    ]
    last = -100.0
    for (x, y, half), (when, cm) in zip(places, dated, strict=True):
        spoken = x - last >= 44
        last = x if spoken else last
        parts.append(_point((x, y, half), when, cm, foot=height - 6 if spoken else None))
    told = "; ".join(f"{cm:.1f} cm on {day(when)}" for when, cm in dated)
    more = f" {undated} more without a day." if undated else ""
    alt = f"Standing height of {name}, each within 0.5 cm: {told}.{more}"
    return drawing(parts, alt=alt, width=width, height=height)


def _places(
    dated: Sequence[tuple[date, float]], width: float, height: float
) -> list[tuple[float, float, float]]:
    """For each height: where it stands, and half its whisker, in pixels; at least 6 cm fill the picture."""
    start, span = dated[0][0], max((dated[-1][0] - dated[0][0]).days, 1)
    lows, highs = min(cm for _, cm in dated), max(cm for _, cm in dated)
    room = max(highs - lows + 2 * _ERROR_CM, 6.0)
    floor = (lows + highs - room) / 2
    scale = (height - _TOP - _FOOT) / room
    wide = width - _LEFT - _RIGHT
    return [
        (
            _LEFT + wide * ((when - start).days / span if len(dated) > 1 else 0.5),
            height - _FOOT - (cm - floor) * scale,
            _ERROR_CM * scale,
        )
        for when, cm in dated
    ]


def _point(place: tuple[float, float, float], when: date, cm: float, *, foot: float | None) -> str:
    x, y, half = place
    parts = [
        element("line", x1=x, y1=y - half, x2=x, y2=y + half, stroke=INK, stroke_width=1),
        element("circle", cx=x, cy=y, r=3, fill=INK),
    ]
    if foot is not None:
        parts.append(words(f"{cm:.1f}", x, y - half - 6, font_size=12, text_anchor="middle"))
        parts.append(words(month(when), x, foot, font_size=11, fill=QUIET, text_anchor="middle"))
    return grouped(parts, title=f"{cm:.1f} cm on {day(when)}")
