"""Who moves before a still background: a witness that knows no joints, and the cheap way to find her.

The background is the middle value of each pixel over many glances; what differs from it is a patch. The long axis of
her patch follows the trunk while she is open, and counts turns through the folded part as well.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy import ndimage

from loftbook.film.track import Silhouette

Array = NDArray[np.float64]
Picture = NDArray[np.uint8]

LEAST = 2e-4  # share of the picture; smaller patches are noise
MOST = 0.25  # a patch above this share is a change of light or a moved camera, not a body


@dataclass(frozen=True)
class Patch:
    """One connected patch that differs from the background.

    Units
        x, y : middle, px of the glance; area : px²; axis : rad against the clock from upright, within a half turn
        length, breadth : px, four standard deviations along and across the axis
    """

    x: float
    y: float
    area: float
    axis: float
    length: float
    breadth: float


@dataclass(frozen=True, eq=False)
class Background:
    """What stands still: the middle value of each pixel, and how far it wavers by itself."""

    picture: NDArray[np.float32]
    waver: NDArray[np.float32]


def background_of(glances: Sequence[Picture]) -> Background:
    """The still background of some glances, spread over the time in question.

    Valid
        each pixel shows the background in more than half of the glances; a moved camera breaks that, see `shifts`
    """
    stack = np.stack(glances).astype(np.float32)
    picture = np.median(stack, axis=0)
    waver = 1.4826 * np.median(np.abs(stack - picture), axis=0)
    return Background(picture, ndimage.uniform_filter(waver, size=(5, 5, 1)))


def mask_of(glance: Picture, background: Background) -> NDArray[np.bool_]:
    """Where a glance differs from the background by more than it wavers, small holes closed."""
    away = np.abs(glance.astype(np.float32) - background.picture)
    strange = (away > 12 + 4 * background.waver).any(axis=-1)
    closed: NDArray[np.bool_] = ndimage.binary_closing(strange, np.ones((3, 3), dtype=np.bool_), iterations=2)
    return closed


def patches_of(mask: NDArray[np.bool_]) -> list[Patch]:
    """The patches of a mask, largest first, without specks and without what is no body."""
    labels, count = ndimage.label(mask, np.ones((3, 3)))
    if not count:
        return []
    areas = np.bincount(labels.ravel())[1:]
    found = [
        _patch(labels[box] == n + 1, int(box[0].start), int(box[1].start))
        for n, box in enumerate(ndimage.find_objects(labels))
        if LEAST * mask.size < areas[n] < MOST * mask.size
    ]
    return sorted(found, key=lambda patch: -patch.area)


def _patch(part: NDArray[np.bool_], top: int, left: int) -> Patch:
    rows, columns = np.nonzero(part)
    return _moments((columns + left + 0.5).astype(np.float64), (rows + top + 0.5).astype(np.float64))


def _moments(x: Array, y: Array) -> Patch:
    mx, my = float(x.mean()), float(y.mean())
    spread = (
        float(((x - mx) ** 2).mean()),
        float(((y - my) ** 2).mean()),
        float(((x - mx) * (y - my)).mean()),
    )
    return _from_spread(mx, my, float(len(x)), spread)


def together(patches: Sequence[Patch]) -> Patch:
    """Several patches as one: a body that a bar or a bright wall cuts in pieces.

    Example
        >>> head, legs = Patch(0, -30, 100, 0.0, 20, 20), Patch(0, 10, 300, 0.0, 60, 20)
        >>> whole = together([head, legs])
        >>> round(whole.y), round(whole.axis, 3), round(whole.length)
        (0, 0.0, 87)
    """
    total = sum(p.area for p in patches)
    mx, my = sum(p.x * p.area for p in patches) / total, sum(p.y * p.area for p in patches) / total
    xx = yy = xy = 0.0
    for p in patches:
        long, short, s, c = (p.length / 4) ** 2, (p.breadth / 4) ** 2, np.sin(p.axis), np.cos(p.axis)
        xx += p.area * (long * s * s + short * c * c + (p.x - mx) ** 2)
        yy += p.area * (long * c * c + short * s * s + (p.y - my) ** 2)
        xy += p.area * ((long - short) * s * c + (p.x - mx) * (p.y - my))
    return _from_spread(mx, my, total, (xx / total, yy / total, xy / total))


def _from_spread(x: float, y: float, area: float, spread: tuple[float, float, float]) -> Patch:
    """A patch from its second moments; the top of an axis at angle a lies at (-sin a, -cos a)."""
    xx, yy, xy = spread
    mean, half = (xx + yy) / 2, float(np.hypot((xx - yy) / 2, xy))
    axis = float(0.5 * np.arctan2(2 * xy, yy - xx))
    return Patch(x, y, area, axis, 4 * float(np.sqrt(mean + half)), 4 * float(np.sqrt(max(mean - half, 0.0))))


def unwrapped(axes: Array) -> Array:
    """Axes within a half turn as one running angle that starts within a quarter turn of upright; NaN stays NaN."""
    out = np.full(len(axes), np.nan)
    seen = np.isfinite(axes)
    out[seen] = np.unwrap(axes[seen], period=np.pi)
    return out


def shift_between(one: Picture, other: Picture) -> tuple[float, float]:
    """By how many px the second glance is moved against the first: what a panned camera does to everything.

    Source
        phase correlation: Kuglin and Hines 1975, the shift theorem of the Fourier transform
    """
    a, b = (np.asarray(p, dtype=np.float64).mean(axis=-1) for p in (one, other))
    a, b = a - a.mean(), b - b.mean()
    window = np.hanning(a.shape[0])[:, None] * np.hanning(a.shape[1])
    cross = np.fft.rfft2(b * window) * np.conj(np.fft.rfft2(a * window))
    peak = np.fft.irfft2(cross / np.maximum(np.abs(cross), 1e-9), s=a.shape)
    row, column = np.unravel_index(int(peak.argmax()), peak.shape)
    down = row - a.shape[0] if row > a.shape[0] / 2 else row
    across = column - a.shape[1] if column > a.shape[1] / 2 else column
    return float(across), float(down)


def witness(patches: Sequence[Patch | None], scale: float) -> Silhouette:
    """Her patches through time as a silhouette in px of the whole picture; `scale` is px of it per px of a glance."""
    nothing = Patch(np.nan, np.nan, np.nan, np.nan, np.nan, np.nan)
    rows = [patch or nothing for patch in patches]
    axis = unwrapped(np.array([p.axis for p in rows]))
    middle = np.array([(p.x, p.y) for p in rows]).reshape(-1, 2) * scale
    return Silhouette(axis, middle, np.array([p.area for p in rows]) * scale**2)


def chosen_of(silhouette: Silhouette, rows: NDArray[np.intp]) -> Silhouette:
    """Some frames of a silhouette."""
    return Silhouette(silhouette.axis[rows], silhouette.middle[rows], silhouette.area[rows])
