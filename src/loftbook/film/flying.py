"""Finds the one who flies: among all that moves before the background, the patch that falls like a stone.

A patch whose middle follows a parabola for half a second and more, bending as gravity bends it for a body of that
size, is in the air. Walkers, spotters and shadows do not.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from loftbook.film.silhouette import Patch, together, unwrapped

Array = NDArray[np.float64]

LAG = 0.22  # s between the three looks that a parabola is laid through
SHORTEST = 0.5  # s
BEND = (3.0, 26.0)  # px/s² for each px of a patch's length: 1.5 m open, arms up, to 0.4 m rolled up tightly
NEAR = 0.45  # of the length of the open body: patches this near to the parabola are hers


@dataclass(frozen=True, eq=False)
class Flown:
    """One stretch in the air, as seen in glances.

    Units
        first, last : numbers of glances; begun, ended : s; fall : (3,) px, px/s, px/s² of y; drift : (2,) px, px/s
        of x, both from `begun`; length : px, the open body; turned : rad against the clock by the axis of the patch;
        company : whether somebody else flies at the same time
    """

    first: int
    last: int
    begun: float
    ended: float
    fall: Array
    drift: Array
    length: float
    turned: float = 0.0
    company: bool = False

    def at(self, time: float) -> tuple[float, float]:
        """Where the parabola is at a time, px."""
        t = time - self.begun
        return float(self.drift[0] + self.drift[1] * t), float(self.fall @ (1, t, t * t))


def flights(times: Array, glances: Sequence[Sequence[Patch]]) -> list[Flown]:
    """All stretches in the air, in order of time, none overlapping.

    Units
        times : (N,) s of each glance; glances : what moved in each, at most six patches are looked at

    Valid
        a still camera, and 10 to 30 glances a second
    """
    looked = [list(patches[:6]) for patches in glances]
    tried = [flown for n in range(len(looked)) if (flown := _best_from(n, times, looked)) is not None]
    tried.sort(key=lambda flown: -(times[flown.last] - times[flown.first]))
    kept: list[Flown] = []
    for flown in tried:
        if all(flown.last <= other.first + 1 or flown.first >= other.last - 1 for other in kept):
            kept.append(flown)
    told = [replace(flown, company=any(_elsewhere(flown, other) for other in tried)) for flown in kept]
    return sorted(told, key=lambda flown: flown.first)


def _elsewhere(one: Flown, other: Flown) -> bool:
    """Whether two flights are of two people: at the same time in places a body's length apart."""
    begun, ended = max(one.begun, other.begun), min(one.ended, other.ended)
    if ended - begun < SHORTEST / 2:
        return False
    places = [(one.at(time), other.at(time)) for time in (begun, (begun + ended) / 2, ended)]
    return min(float(np.hypot(a[0] - b[0], a[1] - b[1])) for a, b in places) > 0.8 * one.length


def _best_from(n: int, times: Array, looked: list[list[Patch]]) -> Flown | None:
    """The longest flight that begins at a glance."""
    later = [int(np.searchsorted(times, times[n] + k * LAG - 1e-6)) for k in (1, 2)]
    if later[1] >= len(times) or later[1] == later[0]:
        return None
    best: Flown | None = None
    for a in looked[n]:
        for b in looked[later[0]]:
            for c in looked[later[1]]:
                t = times[[n, *later]] - times[n]
                fall = np.polynomial.polynomial.polyfit(t, [a.y, b.y, c.y], 2)
                length = max(a.length, b.length, c.length)
                if not BEND[0] * length < 2 * fall[2] < BEND[1] * length:
                    continue
                drift = np.polynomial.polynomial.polyfit(t, [a.x, b.x, c.x], 1)
                flown = _followed(
                    n,
                    times,
                    looked,
                    Flown(n, later[1], float(times[n]), float(times[later[1]]), fall, drift, length),
                )
                if flown and (best is None or flown.last > best.last):
                    best = flown
    return best


def _followed(n: int, times: Array, looked: list[list[Patch]], guess: Flown) -> Flown | None:
    """Follow a parabola as long as patches lie on it, laying it anew through all of them."""
    flown, hers = guess, dict[int, Patch]()
    for _ in range(3):
        hers = _along(n, times, looked, flown)
        if len(hers) < 5:
            return None
        rows = np.array(sorted(hers))
        begun, ended = float(times[rows[0]]), float(times[rows[-1]])
        t = times[rows] - begun
        length = float(np.percentile([hers[r].length for r in rows], 90))
        fall = np.polynomial.polynomial.polyfit(t, [hers[r].y for r in rows], 2)
        drift = np.polynomial.polynomial.polyfit(t, [hers[r].x for r in rows], 1)
        flown = Flown(int(rows[0]), int(rows[-1]), begun, ended, fall, drift, length)
    return _judged(times, hers, flown)


def _judged(times: Array, hers: dict[int, Patch], flown: Flown) -> Flown | None:
    """A flight, or nothing when it is too short, too flat, or bends as no body of that size."""
    rows = sorted(hers)
    heights = [hers[r].y for r in rows]
    long_enough = times[rows[-1]] - times[rows[0]] >= SHORTEST
    whole = len(rows) >= 0.75 * (flown.last - flown.first + 1)
    high = max(heights) - min(heights) > 0.35 * flown.length
    bent = BEND[0] * flown.length < 2 * flown.fall[2] < 9.81 / 1.2 * 1.5 * flown.length
    if not (long_enough and whole and high and bent):
        return None
    axis = unwrapped(np.array([hers[r].axis for r in rows]))
    return replace(flown, turned=float(axis[-1] - axis[0]))


def _along(n: int, times: Array, looked: list[list[Patch]], flown: Flown) -> dict[int, Patch]:
    """The patches that lie on a parabola from a glance on, until two glances in a row have none."""
    hers: dict[int, Patch] = {}
    missed = 0
    for row in range(n, len(times)):
        x, y = flown.at(times[row])
        near = [p for p in looked[row] if np.hypot(p.x - x, p.y - y) < 0.25 * flown.length]
        if near:
            hers[row], missed = max(near, key=lambda p: p.area), 0
        else:
            missed += 1
            if missed > 2:
                break
    return hers


def hers_in(patches: Sequence[Patch], x: float, y: float, *, length: float) -> Patch | None:
    """What of a glance belongs to her when she is expected at a place: near patches, taken as one body."""
    near = [p for p in patches if np.hypot(p.x - x, p.y - y) < NEAR * length]
    if not near:
        return None
    largest = max(near, key=lambda p: p.area)
    return together([p for p in near if p.area > 0.02 * largest.area])
