"""Where in a film somebody flies: stretches in which the mass centre falls freely, told from contact by themselves."""

from __future__ import annotations

import numpy as np

from loftbook.film.falling import Window
from loftbook.film.track import Array, Flags

SHORTEST = 0.35  # s in the air; a hop on a bed is longer
LEAST_RISE = (
    0.35  # of the trunk's length, how far the mass centre must come down on each side of its highest place
)
CORE = 0.12  # s to each side of the highest place, where a parabola is begun
APART = 0.22  # of the trunk's length: farther from the parabola than this is no longer free fall
AHEAD = 0.08  # s: how far a few lost frames are stepped over when the path comes back to the parabola
OVERSHOT = 0.05  # s: the bed has pushed about that long before the path leaves the parabola so far


def windows_of(times: Array, path: Array, trunk: float) -> tuple[Window, ...]:
    """Each stretch of free fall in a film, in order, a little wider or narrower than the flight itself.

    Units
        times : (N,) s; path : (N, 2) px of the mass centre, y down; trunk : px, usual length of the trunk

    Valid
        flights of 0.35 s and more whose highest place is in the film

    Source
        law: free fall is a parabola, and a bed pushes upwards only

    Example
        >>> t = np.arange(0, 2, 1 / 60)
        >>> y = 600 - np.maximum(0, 600 - 600 * (t - 1) ** 2 / 0.49)
        >>> [w.seen for w in windows_of(t, np.stack([0 * t, y], axis=1), trunk=60.0)]
        [(True, True)]
    """
    known = np.all(np.isfinite(path), axis=1)
    if known.sum() < 8:
        return ()
    rows = np.interp(times, times[known], path[known, 1])
    found: list[Window] = []
    for top in _tops(times, rows, trunk):
        window = _grown(times, rows, top, trunk, known)
        if window is None or times[window.last] - times[window.first] < SHORTEST - 0.1:
            continue
        if found and window.first <= found[-1].last:
            continue
        found.append(window)
    return tuple(found)


def _tops(times: Array, rows: Array, trunk: float) -> list[int]:
    """Frames where the mass centre is highest between two descents."""
    from scipy.signal import find_peaks

    step = float(np.median(np.diff(times)))
    width = max(1, round(0.04 / step))
    kernel = np.ones(2 * width + 1) / (2 * width + 1)
    smooth = np.convolve(np.pad(rows, width, mode="edge"), kernel, mode="valid")
    tops, _ = find_peaks(-smooth, prominence=LEAST_RISE * trunk)
    return [int(n) for n in tops]


def _grown(times: Array, rows: Array, top: int, trunk: float, known: Flags) -> Window | None:
    """The longest stretch about a highest place that a parabola explains."""
    inside = np.flatnonzero(np.abs(times - times[top]) <= CORE)
    if len(inside) < 4:
        inside = np.arange(max(0, top - 2), min(len(times), top + 3))
    first, last = int(inside[0]), int(inside[-1])
    allowed = APART * trunk
    reach = max(1, round(AHEAD / float(np.median(np.diff(times)))))
    for _ in range(len(times)):
        fit = np.polynomial.polynomial.polyfit(
            times[first : last + 1] - times[top], rows[first : last + 1], _order(times, first, last)
        )
        if fit[2] <= 0:
            return None
        off = np.abs(rows - np.polynomial.polynomial.polyval(times - times[top], fit))
        near = (off < allowed) | ~known
        wider = (_step_out(near, first, -1, reach), _step_out(near, last, 1, reach))
        if wider == (first, last):
            break
        first, last = wider
    seen = (first > 1, last < len(times) - 2)
    inner = np.flatnonzero(
        (times >= times[first] + OVERSHOT * seen[0]) & (times <= times[last] - OVERSHOT * seen[1])
    )
    return Window(int(inner[0]), int(inner[-1]), seen=seen) if len(inner) > 3 else None


def _order(times: Array, first: int, last: int) -> int:
    """A parabola at first; once it is long, with room for what a pitched camera bends."""
    return 2 if times[last] - times[first] < 0.6 else 4


def _step_out(near: Flags, edge: int, sense: int, reach: int) -> int:
    """One step further out: to the next frame that is near, over a few that are not if the path comes back for good."""
    n = edge + sense
    if not 0 <= n < len(near):
        return edge
    if near[n]:
        return n
    for k in range(2, reach + 2):
        ahead = [edge + sense * (k + more) for more in range(reach)]
        if all(0 <= m < len(near) and near[m] for m in ahead):
            return edge + sense * k
    return edge
