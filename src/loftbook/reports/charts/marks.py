"""The form of each state: a flight over the bed, whole, half or only outlined; or no flight.

Done alone is a solid arch, with help a half-filled one, tried an open one: the eye
reads the weight before the word. Where nothing was shown the bed stays flat, and
each blank has its own small sign. Form and word tell the state; colour never does.
"""

from __future__ import annotations

from loftbook.insight.standing import State
from loftbook.reports.charts.drawing import INK, PAPER, Drawing, drawing, element

MARK_ORDER = tuple(State)


def state_mark(state: State, *, size: float = 18) -> Drawing:
    """The little form that stands beside a state's word in lists.

    >>> state_mark(State.HELPED).alt
    'with help'
    """
    parts = mark_strokes(state, x=size / 2, y=size * 0.86, size=size)
    return drawing(parts, alt=state.words, width=size, height=size)


def mark_strokes(state: State, *, x: float, y: float, size: float) -> list[str]:
    """The strokes of a state's form: centred on x, its bed on the line y, `size` wide with margins."""
    half, tall = size * 0.4, size * 0.66
    pen = max(1.0, size * 0.075)
    if state is State.NO_RECORD:
        return []
    if state.is_blank:
        return _flat(state, (x, y), half, pen)
    arch = _arch(x, y, half, tall)
    strokes = [
        element("path", d=arch, fill=INK if state is State.ALONE else PAPER, stroke=INK, stroke_width=pen)
    ]
    if state is State.HELPED:
        strokes.append(element("path", d=_left_of(x, y, half, tall), fill=INK))
    return strokes


def _arch(x: float, y: float, half: float, tall: float) -> str:
    """A parabola over the bed: its control point lies twice as high as its top."""
    return f"M{x - half:.2f} {y:.2f}Q{x:.2f} {y - 2 * tall:.2f} {x + half:.2f} {y:.2f}Z"


def _left_of(x: float, y: float, half: float, tall: float) -> str:
    """The rising half of the same parabola, split at its top."""
    top = y - tall
    return f"M{x - half:.2f} {y:.2f}Q{x - half / 2:.2f} {top:.2f} {x:.2f} {top:.2f}L{x:.2f} {y:.2f}Z"


def _flat(state: State, foot: tuple[float, float], half: float, pen: float) -> list[str]:
    """A flat bed with the sign of its blank."""
    x, y = foot

    def line(x1: float, y1: float, x2: float, y2: float) -> str:
        return element("line", x1=x1, y1=y1, x2=x2, y2=y2, stroke=INK, stroke_width=pen)

    bed = line(x - half, y, x + half, y)
    if state is State.STOPPED:  # she was on her way, then a wall
        return [bed, line(x, y, x, y - half * 1.1)]
    if state is State.DECLINED:  # a gap that she chose
        return [line(x - half, y, x - half * 0.3, y), line(x + half * 0.3, y, x + half, y)]
    if state is State.NOT_ALLOWED:  # the bed is barred
        return [bed, line(x - half * 0.5, y + half * 0.3, x + half * 0.5, y - half * 0.75)]
    if state is State.ABSENT:  # only the two ends of a bed
        return [element("circle", cx=x + side * half * 0.8, cy=y, r=pen, fill=INK) for side in (-1, 1)]
    return [bed]
