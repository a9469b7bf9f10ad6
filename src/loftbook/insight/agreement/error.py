"""The error of one mark, and the smallest change of a mark that is more than it."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import dataclass, field
from math import sqrt

import numpy as np

from loftbook.insight.agreement.intervals import DRAWS, SEED, Estimate, resampled
from loftbook.insight.agreement.tally import Array, Counts
from loftbook.insight.wilson import wilson

#: Fewer turns say nothing of the error of a mark. From memory: Terwee et al. (2012), Qual. Life Res. 21, 651-657,
#: calls samples of under 30 poor, under 50 fair.
FEWEST_FOR_ERROR = 30
#: So often two marks of the same turn may differ by as much, before such a difference is called a change.
_MOST_APART = 0.05
_BOTH_WAYS = 1.959963984540054 * sqrt(
    2.0
)  # the normal distribution's 97.5 %, and two marks with an error each


@dataclass(frozen=True)
class MarkError:
    """How exactly a mark repeats, in levels.

    Meaning
        turns : so many turns were marked twice
        error : standard error of measurement of one mark
        smallest : smallest detectable change between two single marks
        apart : share of pairs of marks that differ by at least 1, 2, ... levels
        told_from : a move of so many levels is more than marking alone makes; None where
            no move is, or where there are too few turns to say
    """

    turns: int
    error: Estimate
    smallest: Estimate
    apart: tuple[float, ...]
    told_from: int | None

    @property
    def enough(self) -> bool:
        """Whether there are turns enough to say from how many levels on a move is told."""
        return self.turns >= FEWEST_FOR_ERROR

    @property
    def told_words(self) -> str:
        """From how many levels on a move is more than marking alone makes.

        >>> MarkError(12, Estimate(0.3), Estimate(0.8), (0.2, 0.0), None).told_words
        'not known yet'
        """
        if not self.enough:
            return "not known yet"
        if self.told_from is None:
            return "no move of one mark"
        return f"{self.told_from} level{'' if self.told_from == 1 else 's'}"


@dataclass(frozen=True)
class MarkErrors:
    """The error of a mark by scale: between two people, and of each person's own re-marking."""

    two_people: Mapping[str, MarkError] = field(default_factory=dict)
    one_person: Mapping[str, Mapping[str, MarkError]] = field(default_factory=dict)  # by rater

    def between(self, key: str, then: Collection[str], now: Collection[str]) -> MarkError | None:
        """The error that belongs to a change on this scale, marked then and now by these people.

        One person's own, where the same one marked both times and re-marked turns enough;
        else that of two people, which is rather larger.

        >>> MarkErrors().between("form", ["Q"], ["Q"]) is None
        True
        """
        if len({*then, *now}) == 1:
            own = self.one_person.get(next(iter(now)), {}).get(key)
            if own is not None and own.enough:
                return own
        return self.two_people.get(key)


def mark_error(counts: Counts, *, seed: int = SEED, draws: int = DRAWS) -> MarkError | None:
    """The error of a mark from turns that were marked twice; None without any.

    The error counts everything that differs between two marks of one turn, a rater's
    habit of marking low among it. The smallest detectable change is 1.96 * sqrt(2)
    times it. That takes errors for bell-shaped, which three levels are not: where a
    quarter of all pairs were one level apart it would still call one level a change.
    So `told_from` asks for two things: the upper end of the interval of the smallest
    change is no more than the move, and at most one pair of twenty differs by as much.

    Units
        levels of the scale
    Source
        Weir (2005), J. Strength Cond. Res. 19, 231-240: error and minimal difference.
        The second condition and the interval (children drawn again, or Wilson's of the
        shares apart, whichever is wider) are our own.

    >>> from loftbook.insight.agreement.tally import tally
    >>> found = mark_error(tally([(0, 0), (1, 2), (1, 1), (2, 2)], categories=3))
    >>> round(found.error.value, 3), found.apart, found.told_from
    (0.354, (0.25, 0.0), None)
    """
    whole = counts.summed()
    turns = float(whole.pairs.sum())
    if turns == 0:
        return None
    apart = shares_apart(whole)
    drawn = resampled(counts, lambda some: standard_error(some.pairs), seed=seed, draws=draws)
    low, high = (_by_shares(apart, turns, end) for end in ("low", "high"))
    error = Estimate(
        float(standard_error(whole.pairs)),
        min(low, drawn[0]) if drawn else low,
        max(high, drawn[1]) if drawn else high,
    )
    smallest = _times(error, _BOTH_WAYS)
    return MarkError(round(turns), error, smallest, apart, _told_from(round(turns), smallest, apart))


def standard_error(pairs: Array) -> Array:
    """The standard error of measurement, in levels: the root of half the mean square of the differences."""
    distance = _distance(pairs.shape[-1])
    with np.errstate(invalid="ignore", divide="ignore"):
        square = (pairs * distance**2).sum(axis=(-2, -1)) / pairs.sum(axis=(-2, -1))
    return np.asarray(np.sqrt(square / 2.0))


def shares_apart(counts: Counts) -> tuple[float, ...]:
    """The share of pairs of marks that differ by at least 1, 2, ... levels."""
    distance, total = _distance(counts.categories), float(counts.pairs.sum())
    levels = range(1, counts.categories)
    return tuple(float(counts.pairs[distance >= level].sum()) / total for level in levels)


def _distance(categories: int) -> Array:
    places = np.arange(categories, dtype=float)
    return np.asarray(np.abs(places[:, None] - places[None, :]))


def _by_shares(apart: tuple[float, ...], turns: float, end: str) -> float:
    """The error if each share apart stood at one end of its Wilson interval."""
    shares = (getattr(wilson(share * turns, turns), end) for share in apart)
    return sqrt(sum((2 * level - 1) * share for level, share in enumerate(shares, 1)) / 2.0)


def _times(one: Estimate, factor: float) -> Estimate:
    value, low, high = (None if x is None else x * factor for x in (one.value, one.low, one.high))
    return Estimate(value, low, high)


def _told_from(turns: int, smallest: Estimate, apart: tuple[float, ...]) -> int | None:
    if turns < FEWEST_FOR_ERROR or smallest.high is None:
        return None
    fit = (n for n, share in enumerate(apart, 1) if smallest.high <= n and share <= _MOST_APART)
    return next(fit, None)
