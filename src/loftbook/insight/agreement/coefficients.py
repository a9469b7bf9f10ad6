"""How much more alike marks are than chance would make them: kappa, AC1 and AC2, alpha.

Each is (observed - chance) / (1 - chance); they differ in what they call chance. All
work on `Counts` of any leading axes, so that thousands of draws are one call.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from types import MappingProxyType
from typing import TypeAlias

import numpy as np

from loftbook.insight.agreement.tally import Array, Counts


@dataclass(frozen=True, eq=False)
class Agreement:
    """How alike the marks are, how alike chance would make them, and the coefficient of both."""

    observed: Array
    chance: Array

    @property
    def value(self) -> Array:
        """1 for marks all alike, 0 for no better than chance; NaN where chance leaves no room."""
        room = 1.0 - self.chance
        with np.errstate(invalid="ignore", divide="ignore"):
            found = (self.observed - self.chance) / room
        return np.where(room > 1e-12, found, np.nan)


Coefficient: TypeAlias = Callable[[Counts], Agreement]


def identity_weights(categories: int) -> Array:
    """The same mark counts 1, any other 0."""
    return np.eye(categories)


def linear_weights(categories: int) -> Array:
    """One level apart costs the same at each step.

    >>> linear_weights(3)[0].tolist()
    [1.0, 0.5, 0.0]
    """
    places = np.arange(categories)
    apart = np.abs(places[:, None] - places[None, :])
    return np.asarray(1.0 - apart / max(categories - 1, 1))


def quadratic_weights(categories: int) -> Array:
    """Far apart costs more than its share: the square of the distance.

    >>> quadratic_weights(3)[0].tolist()
    [1.0, 0.75, 0.0]
    """
    return np.asarray(1.0 - (1.0 - linear_weights(categories)) ** 2)


def alike(counts: Counts, weights: Array) -> Agreement:
    """How often two marks of a turn are alike, by weights; chance is not taken off.

    >>> from loftbook.insight.agreement.tally import tally
    >>> float(alike(tally([(0, 0), (0, 1)], categories=2).summed(), identity_weights(2)).value)
    0.5
    """
    observed = _share(counts.pairs, weights)
    return Agreement(observed, np.zeros_like(observed))


def kappa(counts: Counts, weights: Array) -> Agreement:
    """Cohen's kappa of the two seats: chance is what each seat's own habit would make.

    Where nearly all marks are the same it can be low although nearly all are alike
    (Feinstein & Cicchetti 1990); `gwet` is for that. NaN where both seats gave only one
    and the same mark.

    Source
        Cohen (1960), Educ. Psychol. Meas. 20, 37-46; with weights Cohen (1968), Psychol.
        Bull. 70, 213-220.
    """
    joint = counts.joint
    with np.errstate(invalid="ignore", divide="ignore"):
        total = joint.sum(axis=(-2, -1))
        first, second = joint.sum(axis=-1), joint.sum(axis=-2)
        chance = np.einsum("...i,ij,...j->...", first, weights, second) / total**2
    return Agreement(_share(joint, weights), np.asarray(chance))


def gwet(counts: Counts, weights: Array) -> Agreement:
    """Gwet's AC1 (identity weights) or AC2: chance shrinks where nearly all marks are the same.

    For any number of raters, some of them blank. The number of places of the scale
    counts, also of a place that nobody used.

    Source
        Gwet (2008), Br. J. Math. Stat. Psychol. 61, 29-48; with weights and blanks Gwet,
        Handbook of Inter-Rater Reliability.
    """
    q = counts.categories
    with np.errstate(invalid="ignore", divide="ignore"):
        share = counts.shares / counts.shares.sum(axis=-1, keepdims=True)
    spread = (share * (1.0 - share)).sum(axis=-1)
    return Agreement(_share(counts.pairs, weights), np.asarray(weights.sum() / (q * (q - 1)) * spread))


def alpha(counts: Counts, metric: str) -> Agreement:
    """Krippendorff's alpha: all marks are thrown together, and chance draws two of them.

    `metric` is "nominal", "ordinal" or "interval": how far two marks are apart. A turn
    with one mark only is left out. NaN where one mark was used throughout.

    Source
        Krippendorff (2011), Computing Krippendorff's Alpha-Reliability.
    """
    values = counts.values
    used = values.sum(axis=-1)
    total = used.sum(axis=-1)
    apart = METRICS[metric](used)
    by_chance = used[..., :, None] * used[..., None, :]
    with np.errstate(invalid="ignore", divide="ignore"):
        far = np.maximum(apart.max(axis=(-2, -1)), 1e-300)
        seen = (values * apart).sum(axis=(-2, -1)) / total / far
        drawn = (by_chance * apart).sum(axis=(-2, -1)) / (total * (total - 1.0)) / far
    return Agreement(np.asarray(1.0 - seen), np.asarray(1.0 - drawn))


def _share(cells: Array, weights: Array) -> Array:
    with np.errstate(invalid="ignore", divide="ignore"):
        return np.asarray((cells * weights).sum(axis=(-2, -1)) / cells.sum(axis=(-2, -1)))


def _nominal(used: Array) -> Array:
    q = used.shape[-1]
    return np.broadcast_to(1.0 - np.eye(q), (*used.shape, q))


def _interval(used: Array) -> Array:
    q = used.shape[-1]
    places = np.arange(q, dtype=float)
    return np.broadcast_to((places[:, None] - places[None, :]) ** 2, (*used.shape, q))


def _ordinal(used: Array) -> Array:
    """All marks from one to the other, both ends half, squared: places that nobody used do not separate."""
    middle = np.cumsum(used, axis=-1) - used / 2
    return np.asarray((middle[..., :, None] - middle[..., None, :]) ** 2)


METRICS: Mapping[str, Callable[[Array], Array]] = MappingProxyType(
    {"nominal": _nominal, "ordinal": _ordinal, "interval": _interval}
)
