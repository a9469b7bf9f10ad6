"""From maps of likelihood to points: where a joint is expected, how far it may be off, and one confidence."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from loftbook.film.crops import Square
from loftbook.film.own.card import CELLS, Card, Maps
from loftbook.film.track import JOINTS, MIDDLES, Array

REACH = (
    3.0  # cells round the likeliest one, over which the point is weighed: 2.5 times the width it was taught
)
TAUGHT = 1.2  # cells: the width of the map of a joint that is known exactly, by the network's lessons
NEAR = 0.35  # of the trunk: likelihood this near to the point counts as confidence
FOUR = 4  # the middles that make a body: shoulder, hip, knee, ankle, the first of `MIDDLES`
TRUNKS = (0.19, 0.34)  # of the standing height: a trunk seen shorter or longer is taken for one of these


@dataclass(frozen=True, eq=False)
class Seen:
    """What one square showed.

    Units
        middles : (6, 2) px of the picture in the order of `MIDDLES`; spread : (6,) px, one standard deviation as the
        maps have it; points : (19, 2) px in the order of `JOINTS`; confidence : 0 to 1
    """

    middles: Array
    spread: Array
    points: Array
    confidence: float


def likelihood(odds: NDArray[np.float32], temperature: float = 1.0) -> Array:
    """Log-odds as likelihood that adds up to one over each map.

    Units
        odds : (..., 48, 48)

    Example
        >>> flat = likelihood(np.zeros((1, 48, 48), np.float32))
        >>> round(float(flat.sum()), 6), round(float(flat[0, 0, 0]) * 48 * 48, 6)
        (1.0, 1.0)
    """
    scaled = odds.astype(np.float64) / temperature
    risen = np.exp(scaled - scaled.max(axis=(-2, -1), keepdims=True))
    shared: Array = risen / risen.sum(axis=(-2, -1), keepdims=True)
    return shared


def expected(maps: Array) -> tuple[Array, Array]:
    """Where each map expects its joint, and the covariance of the whole map about that place.

    Units
        maps : (K, 48, 48), each adding up to one; answers (K, 2) cells, x and y from the corner of the map, and
        (K, 2, 2) cells²

    Valid
        the place is weighed round the likeliest cell only, so that a second peak far away widens the covariance and
        does not move the place

    Source
        definition: mean and second moment of a distribution

    Example
        >>> one = np.zeros((1, 48, 48)); one[0, 10, 20] = 1.0
        >>> place, spread = expected(one)
        >>> place.tolist(), float(spread.max())
        ([[20.5, 10.5]], 0.0)
    """
    count = len(maps)
    rows, columns = np.mgrid[0:CELLS, 0:CELLS] + 0.5
    top = maps.reshape(count, -1).argmax(axis=1)
    x, y = top % CELLS + 0.5, top // CELLS + 0.5
    for _ in range(2):
        near = np.hypot(columns - x[:, None, None], rows - y[:, None, None]) <= REACH
        weighed = np.where(near, maps, 0.0)
        total = np.maximum(weighed.sum(axis=(1, 2)), 1e-12)
        x = (weighed * columns).sum(axis=(1, 2)) / total
        y = (weighed * rows).sum(axis=(1, 2)) / total
    dx, dy = columns - x[:, None, None], rows - y[:, None, None]
    xx, xy, yy = ((maps * part).sum(axis=(1, 2)) for part in (dx * dx, dx * dy, dy * dy))
    return np.stack([x, y], axis=1), np.stack([np.stack([xx, xy], 1), np.stack([xy, yy], 1)], axis=1)


def mass_near(maps: Array, places: Array, radius: float) -> Array:
    """The share of each map's likelihood that lies near its place, (K,).

    Units
        places : (K, 2) cells; radius : cells

    Example
        >>> one = np.zeros((1, 48, 48)); one[0, 10, 20] = one[0, 40, 40] = 0.5
        >>> mass_near(one, np.array([[20.5, 10.5]]), 4.0).tolist()
        [0.5]
    """
    rows, columns = np.mgrid[0:CELLS, 0:CELLS] + 0.5
    away = np.hypot(columns - places[:, 0, None, None], rows - places[:, 1, None, None])
    shares: Array = np.where(away <= radius, maps, 0.0).sum(axis=(1, 2))
    return shares


def seen_in(maps: Maps, n: int, square: Square, card: Card, *, height: float) -> Seen:
    """What one of some squares showed, in pixels of the picture.

    Units
        n : which of the squares; height : px of the standing body

    Valid
        confidence is the least share of likelihood within 0.35 of a trunk of the point, of four middles
    """
    cell = square.side / CELLS
    middles = likelihood(maps.middles[n], card.temperature)
    places, moments = expected(middles)
    trunk = float(np.hypot(*(places[0] - places[1]))) * cell
    trunk = float(np.clip(trunk, TRUNKS[0] * height, TRUNKS[1] * height))
    sure = mass_near(middles[:FOUR], places[:FOUR], NEAR * trunk / cell)
    joints, _ = expected(likelihood(maps.joints[n], card.temperature))
    order = [card.joints.index(name.replace("_toe", "_big_toe")) for name in JOINTS]
    wider = np.maximum(np.trace(moments, axis1=1, axis2=2) / 2 - TAUGHT**2, 0.0)
    return Seen(
        _placed(places, square),
        np.sqrt(wider) * cell,
        _placed(joints[order], square),
        float(sure.min()),
    )


def _placed(places: Array, square: Square) -> Array:
    """Places in cells as pixels of the picture; the square stands upright."""
    out: Array = np.array([square.x, square.y]) + (places / CELLS - 0.5) * square.side
    return out


assert MIDDLES[:FOUR] == ("shoulder", "hip", "knee", "ankle")
