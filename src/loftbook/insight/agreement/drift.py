"""Whether a person marks the same turns otherwise later: drift, told from what the children changed."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np

from loftbook.book.attempts import Attempt
from loftbook.book.turns import Remarking
from loftbook.insight.agreement.criteria import FEWEST, Scale, counts_of, errors_of, more_turns, scales
from loftbook.insight.agreement.error import MarkError, MarkErrors, mark_error
from loftbook.insight.agreement.intervals import DRAWS, SEED, Estimate, resampled
from loftbook.insight.agreement.tally import Array, Counts
from loftbook.insight.wilson import wilson
from loftbook.ladder.rungs import Ladder


@dataclass(frozen=True)
class Drift:
    """One person's later marks of the same turns against the earlier ones, on one scale.

    Meaning
        turns, equal : how many were marked twice, and how many alike
        moved : mean of later minus earlier, in levels, with its 95 % interval
        error : of one mark by one person; None where the places have no order
        more : so many more turns are needed, by the rule of `criteria.more_turns`
    """

    rater: str
    scale: Scale
    turns: int
    equal: int
    moved: Estimate | None
    error: MarkError | None
    more: int

    @property
    def words(self) -> str:
        """What is to be said of it.

        >>> scale = Scale("form", "Form", ("1", "2", "3"))
        >>> Drift("Q", scale, 4, 3, None, None, 90).words
        'too few turns to say'
        """
        if self.moved is None or self.moved.low is None or self.moved.high is None:
            return "too few turns to say"
        if self.moved.low <= 0 <= self.moved.high:
            return "no drift that can be told"
        up = self.moved.low > 0
        if self.scale.places[0] == "1":
            return f"later marks are {'higher' if up else 'lower'}"
        return f"later marks lean to {self.scale.places[-1 if up else 0]}"


@dataclass(frozen=True)
class Remarked:
    """One person's re-marking: how many turns, how long after, and the drift on each scale."""

    rater: str
    turns: int
    days: tuple[int, int]  # the shortest and the longest time between the two marks
    drifts: tuple[Drift, ...]


def remarked(pairs: Iterable[Remarking], ladder: Ladder) -> tuple[Remarked, ...]:
    """What re-marking says of each person who did it, by name; nobody is put in an order of merit.

    >>> from loftbook.ladder.shipped import shipped_ladder
    >>> remarked([], shipped_ladder())
    ()
    """
    by_rater: dict[str, list[Remarking]] = {}
    for pair in pairs:
        by_rater.setdefault(pair.earlier.rater, []).append(pair)
    return tuple(_remarked(rater, by_rater[rater], ladder) for rater in sorted(by_rater))


def mark_errors(turns: Iterable[Sequence[Attempt]], pairs: Iterable[Remarking], ladder: Ladder) -> MarkErrors:
    """The error of a mark, from turns that two people marked and from those that one marked again."""
    again: dict[str, list[tuple[Attempt, Attempt]]] = {}
    for pair in pairs:
        again.setdefault(pair.earlier.rater, []).append((pair.earlier, pair.later))
    own = {rater: errors_of(rows, ladder) for rater, rows in sorted(again.items())}
    return MarkErrors(errors_of(turns, ladder), own)


def _remarked(rater: str, pairs: list[Remarking], ladder: Ladder) -> Remarked:
    days = [(pair.later.at - pair.earlier.at).days for pair in pairs]
    turns = [(pair.earlier, pair.later) for pair in pairs]
    drifts = (_drift(rater, counts_of(turns, scale), scale) for scale in scales(ladder))
    told = tuple(one for one in drifts if one.turns)
    return Remarked(rater, len(pairs), (min(days), max(days)), told)


def _drift(rater: str, counts: Counts, scale: Scale) -> Drift:
    joint = counts.joint.sum(axis=0)
    turns, equal = round(float(joint.sum())), round(float(joint.trace()))
    return Drift(
        rater=rater,
        scale=scale,
        turns=turns,
        equal=equal,
        moved=moved(counts) if turns >= FEWEST else None,
        error=mark_error(counts) if scale.ordered else None,
        more=more_turns(equal, turns),
    )


def moved(counts: Counts, *, seed: int = SEED, draws: int = DRAWS) -> Estimate:
    """How far the later marks lie from the earlier ones, in levels, with a 95 % interval.

    Children are drawn again. Where every pair moved alike that would be no width at all;
    there as many pairs as Wilson's interval allows may differ by one level.

    >>> from loftbook.insight.agreement.tally import tally
    >>> moved(tally([(0, 1), (1, 1), (1, 2), (2, 2)], categories=3)).value
    0.5
    """
    whole = float(_mean_move(counts.joint.sum(axis=0)))
    drawn = resampled(counts, lambda some: _mean_move(some.joint), seed=seed, draws=draws)
    low, high = drawn if drawn is not None else (whole, whole)
    if low == high:
        wide = wilson(0, float(counts.joint.sum())).high
        low, high = whole - wide, whole + wide
    return Estimate(whole, low, high)


def _mean_move(joint: Array) -> Array:
    places = np.arange(joint.shape[-1], dtype=float)
    with np.errstate(invalid="ignore", divide="ignore"):
        moved_by = (joint * (places[None, :] - places[:, None])).sum(axis=(-2, -1))
        return np.asarray(moved_by / joint.sum(axis=(-2, -1)))
