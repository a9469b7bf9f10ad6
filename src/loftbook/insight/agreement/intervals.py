"""Where a coefficient could lie: children drawn again by a seed, and never a false certainty."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import lru_cache
from math import sqrt

import numpy as np

from loftbook.insight.agreement.coefficients import Coefficient
from loftbook.insight.agreement.tally import Array, Counts
from loftbook.insight.wilson import wilson

DRAWS = 2000
SEED = 1960  # any number will do; it is fixed so that a page says the same twice
_MOST_UNDEFINED = 0.05  # of the draws; common practice, no source


@dataclass(frozen=True)
class Estimate:
    """A coefficient with its 95 % interval; each None where it cannot be worked out."""

    value: float | None
    low: float | None = None
    high: float | None = None

    @property
    def words(self) -> str:
        """The value and where it could lie, to two places.

        >>> Estimate(0.744, 0.61, 0.85).words, Estimate(None).words
        ('0.74 (0.61 to 0.85)', 'cannot be worked out')
        """
        if self.value is None:
            return "cannot be worked out"
        if self.low is None or self.high is None:
            return f"{self.value:.2f}"
        return f"{self.value:.2f} ({self.low:.2f} to {self.high:.2f})"


def estimate(counts: Counts, coefficient: Coefficient, *, seed: int = SEED, draws: int = DRAWS) -> Estimate:
    """A coefficient of all children with its 95 % interval.

    Two intervals are worked out and the wider end of each is taken. One draws the
    children again, with all their turns (percentiles of `draws` draws). The other
    takes Wilson's interval of how alike the marks were and leaves chance as it was
    found. The first alone is nothing wide where all marks were alike, and too narrow
    for few children; the second alone knows nothing of turns that hang together.

    Valid from about 10 turns of 6 children on; below, read it as at least so wide.

    Source
        Efron (1979), Ann. Statist. 7, 1-26, with children as the unit; Wilson (1927).
        Taking the wider end is our own; how often it holds the truth is measured in
        loftbook.checks.agreement_intervals.
    """
    whole = coefficient(counts.summed())
    value = float(whole.value)
    if not np.isfinite(value):
        return Estimate(None)
    turns = float(counts.pairs.sum())
    share = wilson(float(whole.observed) * turns, turns)
    room = 1.0 - float(whole.chance)
    ends = [1.0 - (1.0 - end) / room for end in (share.low, share.high)]
    again = resampled(counts, lambda drawn: coefficient(drawn).value, seed=seed, draws=draws)
    if again is not None:
        ends = [min(ends[0], again[0]), max(ends[1], again[1])]
    return Estimate(value, max(-1.0, ends[0]), min(1.0, ends[1]))


def resampled(
    counts: Counts, statistic: Callable[[Counts], Array], *, seed: int = SEED, draws: int = DRAWS
) -> tuple[float, float] | None:
    """The middle 95 % of a statistic when the children are drawn again; None where too few draws have one."""
    found = statistic(counts.drawn(drawn_again(len(counts.shares), seed=seed, draws=draws)))
    good = found[np.isfinite(found)]
    if len(good) < (1 - _MOST_UNDEFINED) * draws:
        return None
    low, high = np.quantile(good, [0.025, 0.975])
    return float(low), float(high)


@lru_cache(maxsize=8)  # a page asks for the same draws some hundred times
def drawn_again(children: int, *, seed: int = SEED, draws: int = DRAWS) -> Array:
    """How often each child is in each draw, (draws, children)."""
    chance = np.random.default_rng(seed)
    often = chance.multinomial(children, np.full(children, 1.0 / children), size=draws).astype(float)
    often.setflags(write=False)
    return often


def large_sample_error(joint: Array, weights: Array) -> float:
    """The standard error of kappa for many turns that do not hang together.

    It is here to be held against print and other programs; the pages use `estimate`,
    which is wider.

    Source
        Fleiss, Cohen & Everitt (1969), Psychol. Bull. 72, 323-327, formula 13.
    """
    total = float(joint.sum())
    cells = joint / total
    first, second = cells.sum(axis=1), cells.sum(axis=0)
    observed = float((cells * weights).sum())
    chance = float(first @ weights @ second)
    of_first, of_second = weights @ second, first @ weights
    pull = weights * (1 - chance) - (of_first[:, None] + of_second[None, :]) * (1 - observed)
    rest = observed * chance - 2 * chance + observed
    return sqrt((float((cells * pull**2).sum()) - rest**2) / total) / (1 - chance) ** 2
