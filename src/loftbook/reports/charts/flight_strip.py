"""A flight as a strip: the body at some instants side by side, as a camera would see it.

The figures are worked out, so they stand in the second ink. They are set apart by a step that is not a distance:
time runs to the right, height is drawn to scale.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

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
    words,
)

_FOOT, _TOP = 36.0, 8.0
_QUARTERS = ("", "¼", "½", "¾", "1")  # of a twist
_LIMBS = (
    ("left", ("hip", "knee", "ankle", "toes")),
    ("left", ("shoulder", "elbow", "wrist", "fingers")),
    ("right", ("hip", "knee", "ankle", "toes")),
    ("right", ("shoulder", "elbow", "wrist", "fingers")),
)


@dataclass(frozen=True)
class StripFigure:
    """The body at one instant.

    Units
        time : s; points : by name, (across, up) in m, across as the camera sees it, up from where the toes left
    """

    time: float
    points: Mapping[str, tuple[float, float]]


def flight_strip(
    title: str, figures: Sequence[StripFigure], *, width: float = 680, height: float = 260
) -> Drawing:
    """Bodies from take-off to landing, each over its time; her left side in the thicker line.

    >>> flight_strip("A double", []).alt
    'A double: nothing to show.'
    """
    if not figures:
        return drawing([], alt=f"{title}: nothing to show.", width=width, height=8)
    tall = max(p[1] for one in figures for p in one.points.values())
    low = min(0.0, *(p[1] for one in figures for p in one.points.values()))
    scale = (height - _FOOT - _TOP) / max(tall - low, 0.1)
    step = width / len(figures)
    ground = height - _FOOT + low * scale
    parts = [element("line", x1=0, y1=ground, x2=width, y2=ground, stroke=INK, stroke_width=1)]
    for n, one in enumerate(figures):
        x = step * (n + 0.5)
        parts.append(_figure(one, x, ground, scale))
        parts.append(
            words(f"{one.time:.2f} s", x, height - 8, font_size=11, fill=QUIET, text_anchor="middle")
        )
    return drawing(
        parts, alt=f"{title}: {len(figures)} figures from take-off to landing.", width=width, height=height
    )


def _figure(one: StripFigure, x: float, ground: float, scale: float) -> str:
    middle = one.points["mid_hip"][0]

    def at(name: str) -> tuple[float, float]:
        across, up = one.points[name]
        return x + (across - middle) * scale, ground - up * scale

    right, left = (
        [limb for limb in _LIMBS if limb[0] == "right"],
        [limb for limb in _LIMBS if limb[0] == "left"],
    )
    strokes = [_line([at(f"{side}_{j}") for j in joints], 1.4, FINDING) for side, joints in right]
    strokes.append(_line([at("mid_hip"), at("waist"), at("chest"), at("neck")], 4.0, FINDING))
    strokes += [_line([at(f"{side}_{j}") for j in joints], 2.6, FINDING) for side, joints in left]
    (nx, ny), (cx, cy) = at("neck"), at("crown")
    radius = max(((cx - nx) ** 2 + (cy - ny) ** 2) ** 0.5 / 2, 2.0)
    strokes.append(
        element(
            "circle",
            cx=(nx + cx) / 2,
            cy=(ny + cy) / 2,
            r=radius,
            fill=PAPER,
            stroke=FINDING,
            stroke_width=1.8,
        )
    )
    return grouped(strokes)


def _line(points: Sequence[tuple[float, float]], pen: float, ink: str) -> str:
    path = "M" + "L".join(f"{x:.2f} {y:.2f}" for x, y in points)
    return element(
        "path",
        d=path,
        fill="none",
        stroke=ink,
        stroke_width=pen,
        stroke_linecap="round",
        stroke_linejoin="round",
    )


def landing_fan(title: str, twists: Sequence[float], *, width: float = 680, height: float = 96) -> Drawing:
    """Where many flights land in twist, each a short stroke, with the quarter twists as a scale.

    Units
        twists : degrees from the landing wanted, to her left positive, drawn to the left

    >>> landing_fan("Landings", [0.0, 10.0, -20.0]).alt
    'Landings: 3 flights from 10° to the left to 20° to the right of what is meant.'
    """
    if not twists:
        return drawing([], alt=f"{title}: nothing to show.", width=width, height=8)
    most = max(90.0, *(90.0 * -(-abs(t) // 90.0) for t in twists))
    most = min(most, 360.0)

    def at(angle: float) -> float:
        return 24 + (width - 48) * (most - min(max(angle, -most), most)) / (2 * most)

    parts = []
    for quarter in range(-int(most // 90), int(most // 90) + 1):
        x = at(90.0 * quarter)
        ink = INK if quarter == 0 else HAIR
        parts.append(
            element("line", x1=x, y1=4, x2=x, y2=66, stroke=ink, stroke_width=1.2 if quarter == 0 else 0.75)
        )
        name = f"{_QUARTERS[abs(quarter)]} {'left' if quarter > 0 else 'right'}" if quarter else "as meant"
        parts.append(words(name, x, 84, font_size=11, fill=QUIET, text_anchor="middle"))
    for n, angle in enumerate(twists):
        y = 12 + 46 * ((n * 0.618034) % 1.0)
        x = at(angle)
        parts.append(element("line", x1=x, y1=y, x2=x, y2=y + 8, stroke=FINDING, stroke_width=1.1))
    ends = " to ".join(_sided(one) for one in (max(twists), min(twists)))
    alt = f"{title}: {len(twists)} flights from {ends} of what is meant."
    return drawing(parts, alt=alt, width=width, height=height)


def _sided(angle: float) -> str:
    return f"{abs(angle):.0f}° to the {'left' if angle > 0 else 'right'}" if abs(angle) >= 0.5 else "straight"
