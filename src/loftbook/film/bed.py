"""The line of a bed or mat found in the picture, when nobody has drawn it.

From the side a bed is a band: its far rim and its near rim, with the same two materials above one and below the other.
She jumps between them. So a pair of long edges that answer each other, below her feet, is taken for a surface, and the
line lies between its rims. What the push of the bed says tells where to look, and whether to believe it.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from loftbook.film.contacts import SOLE_FOUND, contact_of, sole_rows
from loftbook.film.falling import Fall
from loftbook.film.lines import Line
from loftbook.film.track import Array, Track
from loftbook.mechanics.ballistic import GRAVITY

# Where the middle of a surface is seen between its far and its near rim: what is nearer looks wider. From a rim half a
# width of 1.1 m away and a camera 5 to 12 m away; geometry of a plane in perspective
MIDDLE = 0.43
OFF_MIDDLE = 0.14  # of the band: she jumps up to 0.3 m off the middle of 2.1 m; an assumption
RIM_SPREAD = 1.0  # px, how well a rim is found; rendered and painted halls
SAME_LINE = (
    2**0.5
)  # one line errs at both ends of a flight alike, where independent errors would partly cancel
LONGEST_GAP = 0.8  # m, as seen: a bed of 2.1 m from 6 m away and 2.3 m above it
LEAST_GAP = 3.0  # px
LEAST_LENGTH = 2.0  # m: beds are over 4 m long; a rung of wall bars is shorter
NEAR = (
    4.0  # standard deviations of where the push says that her soles were: further off nothing is looked for
)
LONG = 4.0  # m, beyond which length counts no more
HIDDEN = 2  # strips in a row that a bystander or a post may hide
SAME_RIM, THINNER = 2.0, 0.6  # px; a pad is narrower than its bed by more than this
ALIKE, RATIO = 0.85, 2.0  # cosine between two differences of colour, and how much stronger one may be
NOTHING = 60.0  # what a surface is weighed against: a pair of faint edges (25 of 255) on the spot, 2.4 m long
VAGUE = 0.6  # of what the push knows: a line that is no better known helps nobody
SURE = 0.75  # share of the weight that one place must have to be proposed


@dataclass(frozen=True)
class FoundLine:
    """A surface found in the picture.

    Units
        line : px, with its spread; confidence : 0 to 1, its weight among all that could be the surface
        disputed : it lies where the push of the bed does not put her soles
    """

    line: Line
    confidence: float
    disputed: bool = False


def agreed(found: FoundLine | None) -> Line | None:
    """The line to measure against: one that was found, and that the push of the bed does not dispute.

    Example
        >>> agreed(FoundLine(Line(0, 500, 600, 500), 0.9, disputed=True)) is None
        True
    """
    return None if found is None or found.disputed else found.line


@dataclass(frozen=True, eq=False)
class _Band:
    """Two rims that answer each other, along some strips."""

    x: Array
    far: Array
    near: Array
    contrast: float

    def line(self, x: float, scale: float) -> Line:
        """The line between the rims, laid through the strips around x."""
        close = np.abs(self.x - x) <= 1.5 * scale
        if close.sum() < 3:
            close = np.ones(len(self.x), dtype=bool)
        rows = self.far + MIDDLE * (self.near - self.far)
        base, slope = np.polynomial.polynomial.polyfit(self.x[close] - x, rows[close], 1)
        left = rows[close] - base - slope * (self.x[close] - x)
        band = float(np.median((self.near - self.far)[close]))
        spread = SAME_LINE * float(np.sqrt(RIM_SPREAD**2 + np.mean(left**2) + (OFF_MIDDLE * band) ** 2))
        first, last = float(self.x.min()), float(self.x.max())
        return Line(
            first,
            float(base + slope * (first - x)),
            last,
            float(base + slope * (last - x)),
            spread=spread,
            found=True,
        )


def found_line(edges: Array, *, x: float, row: float, spread: float, scale: float) -> FoundLine | None:
    """The surface under her feet, between two rims that answer each other; None where that is not clear.

    Units
        edges : (E, 6) as `edges.edges_of` gives them; x, row : px, where her soles were when the push of the bed
        began or ended; spread : px, how well that is known; scale : px/m there

    Valid
        a camera above the surface, so that both rims show; a surface of one look, longer than 2 m in the picture

    Source
        geometry; the weighing is an assumption, held against rendered and painted halls

    Example
        >>> wall = [(x, 200.0, 0.0, 50.0, 50.0, 50.0) for x in range(0, 601, 50)]
        >>> far = [(x, 500.0, 0.0, 90.0, 90.0, 90.0) for x in range(150, 451, 50)]
        >>> near = [(x, 510.0, 0.0, -90.0, -90.0, -90.0) for x in range(100, 501, 50)]
        >>> rims = wall + far + near
        >>> found = found_line(np.array(rims), x=300.0, row=495.0, spread=12.0, scale=100.0)
        >>> round(found.line.y0, 1), round(found.line.spread, 1), found.confidence > 0.8
        (504.3, 2.4, True)
    """
    if not (np.isfinite([x, row, spread, scale]).all() and len(edges) and spread > 0):
        return None
    plain: list[tuple[float, Line]] = []
    weighed: list[tuple[float, Line]] = []
    for band in _bands(edges, x=x, reach=(row - NEAR * spread, row + NEAR * spread), scale=scale):
        line = band.line(x, scale)
        off = (float(line.height_at(np.array(x))) - row) / float(np.hypot(spread, line.spread))
        if abs(off) <= NEAR:
            weight = band.contrast * min(float(np.ptp(band.x)) / scale, LONG)
            plain.append((weight, line))
            weighed.append((weight * float(np.exp(-(off**2) / 2)), line))
    for disputed, tried in ((False, weighed), (True, plain)):
        found = _best(tried, x, VAGUE * spread)
        if found is not None:
            return FoundLine(*found, disputed=disputed)
    return None


def lines_found(
    track: Track, fall: Fall, drawn: tuple[Line | None, Line | None], stature: float
) -> tuple[FoundLine | None, FoundLine | None]:
    """The surfaces below take-off and landing in the picture, where nobody drew them.

    Units
        stature : m
    """
    leaving, meeting = (
        None if line is not None else _below(track, fall, landing=landing, stature=stature)
        for line, landing in zip(drawn, (False, True), strict=True)
    )
    return leaving, meeting


def _below(track: Track, fall: Fall, *, landing: bool, stature: float) -> FoundLine | None:
    """The surface that she left or met; how fast her feet pass turns the doubt of the push into px."""
    contact = contact_of(track, fall, None, landing=landing, stature=stature)
    if track.edges is None or not contact.seen:
        return None
    soles = sole_rows(track, fall, stature, landing=landing)
    columns = track.middle("ankle")[:, 0]
    known = np.flatnonzero(
        np.isfinite(soles) & np.isfinite(columns) & (np.abs(track.times - contact.time) < 0.1)
    )
    if len(known) < 4:
        return None
    x, row = (float(np.interp(contact.time, track.times[known], v[known])) for v in (columns, soles))
    scale = fall.scale_at(row)
    speed = GRAVITY * abs(contact.time - fall.apex_time)  # m/s, law: free fall from the apex
    spread = scale * float(np.hypot(contact.spread * speed, SOLE_FOUND))
    return found_line(track.edges, x=x, row=row, spread=spread, scale=scale)


def _best(weighed: list[tuple[float, Line]], x: float, vague: float) -> tuple[Line, float] | None:
    """The line with most weight, and the share of all weight that lies where it lies; None where it is not enough."""
    if not weighed:
        return None
    best = max(weighed, key=lambda one: one[0])[1]
    here = float(best.height_at(np.array(x)))
    agree = sum(
        weight
        for weight, line in weighed
        if abs(float(line.height_at(np.array(x))) - here) <= best.spread + line.spread
    )
    confidence = agree / (sum(weight for weight, _ in weighed) + NOTHING)
    return (best, confidence) if confidence >= SURE and best.spread <= vague else None


def _bands(edges: Array, *, x: float, reach: tuple[float, float], scale: float) -> list[_Band]:
    """Every long pair of rims that passes under her feet."""
    strips = np.unique(edges[:, 0])
    home = float(strips[np.argmin(np.abs(strips - x))])
    by_strip = {float(s): edges[edges[:, 0] == s] for s in strips}
    start = by_strip[home]
    high = LONGEST_GAP * scale
    start = start[(start[:, 1] > reach[0] - high) & (start[:, 1] < reach[1] + high)]
    pairs = [
        (far, near)
        for far in start
        for near in start
        if LEAST_GAP <= near[1] - far[1] <= high and _alike(far[3:], -near[3:])
    ]
    bands = []
    for far, near in _without_pads(pairs):
        band = _followed(by_strip, strips, far, near)
        if band is not None and np.ptp(band.x) >= LEAST_LENGTH * scale:
            bands.append(band)
    return bands


def _alike(one: Array, other: Array) -> bool:
    a, b = float(np.linalg.norm(one)), float(np.linalg.norm(other))
    return bool(one @ other >= ALIKE * a * b and a <= RATIO * b and b <= RATIO * a)


def _followed(by_strip: dict[float, Array], strips: Array, far: Array, near: Array) -> _Band | None:
    """A pair of rims that lies flat, followed to both sides; None for one that stands, or is too short to tell."""
    one, other = (_along(by_strip, strips, rim) for rim in (far, near))
    both = sorted(one.keys() & other.keys())
    if len(both) < 3 or _stands(one, other, len(strips)):
        return None
    rims = [(one[k], other[k]) for k in both]
    contrast = float(np.median([min(np.linalg.norm(a[3:]), np.linalg.norm(b[3:])) for a, b in rims]))
    return _Band(strips[both], np.array([a[1] for a, _ in rims]), np.array([b[1] for _, b in rims]), contrast)


def _along(by_strip: dict[float, Array], strips: Array, rim: Array) -> dict[int, Array]:
    """A rim followed to both sides, over up to two strips that hide it."""
    home = int(np.argmin(np.abs(strips - rim[0])))
    found = {home: rim}
    for way in (-1, 1):
        last, missed, k = rim, 0, home + way
        while 0 <= k < len(strips) and missed <= HIDDEN:
            after = _next(by_strip[float(strips[k])], last, float(strips[k]))
            if after is None:
                missed += 1
            else:
                found[k], last, missed = after, after, 0
            k += way
    return found


def _stands(far: dict[int, Array], near: dict[int, Array], strips: int) -> bool:
    """Whether both rims end together, or never: a mat's face, a bar, a stripe. A bed's near rim looks longer."""
    if all(min(rim) <= HIDDEN and max(rim) >= strips - 1 - HIDDEN for rim in (far, near)):
        return True
    ends = (min(far) - min(near), max(near) - max(far))
    seen = min(*far, *near) > HIDDEN and max(*far, *near) < strips - 1 - HIDDEN
    return seen and all(-1 <= end <= 0 for end in ends)


def _without_pads(pairs: list[tuple[Array, Array]]) -> list[tuple[Array, Array]]:
    """Without the pads of a bed, which are bands as well: they share a rim with a much broader one."""
    rims = [(float(far[1]), float(near[1])) for far, near in pairs]
    kept = []
    for pair, (far, near) in zip(pairs, rims, strict=True):
        beside = [b - a for a, b in rims if abs(b - far) < SAME_RIM or abs(a - near) < SAME_RIM]
        if not any(near - far < THINNER * gap for gap in beside):
            kept.append(pair)
    return kept


def _next(strip: Array, rim: Array, x: float) -> Array | None:
    """The edge of another strip that carries a rim on."""
    away = strip[:, 1] - (rim[1] + rim[2] * (x - rim[0]))
    near = strip[np.abs(away) <= 1.5 + 0.03 * abs(x - rim[0])]
    near = near[[_alike(one[3:], rim[3:]) for one in near]] if len(near) else near
    if not len(near):
        return None
    return np.asarray(near[np.argmin(np.abs(near[:, 1] - (rim[1] + rim[2] * (x - rim[0]))))])
