"""Marks of the same turns as counts, kept child by child, so that children can be drawn again.

A mark is a place on its scale, from 0; what a rater left blank is None. Turns of one
child hang together, so she is the unit that the intervals draw.
"""

from __future__ import annotations

from collections.abc import Hashable, Iterable, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from loftbook.errors import RangeError

Array = NDArray[np.float64]
Marks = Sequence[int | None]  # of one turn, a place for each rater


@dataclass(frozen=True, eq=False)
class Counts:
    """What the marks of some turns come to; leading axes are children, or draws of children.

    Shapes
        joint : (..., q, q), turns by the mark of the first seat and of the second
        pairs : (..., q, q), for each turn with two marks or more the shares of its pairs of marks
        values : (..., q, q), the same, each turn times the number of its marks
        shares : (..., q), for each turn with a mark the shares of its marks
    Source
        `values` is the coincidence matrix of Krippendorff (2011); `pairs` and `shares` are
        the sums in Gwet (2008).
    """

    joint: Array
    pairs: Array
    values: Array
    shares: Array

    @property
    def categories(self) -> int:
        """How many places the scale has."""
        return int(self.shares.shape[-1])

    def drawn(self, often: Array) -> Counts:
        """Sums over the children, each taken so often as `often` (draws, children) says."""
        parts = (self.joint, self.pairs, self.values, self.shares)
        return Counts(*(np.tensordot(often, part, axes=1) for part in parts))

    def summed(self) -> Counts:
        """All children together."""
        return Counts(*(one.sum(axis=0) for one in (self.joint, self.pairs, self.values, self.shares)))


def tally(turns: Iterable[Marks], *, categories: int, children: Iterable[Hashable] | None = None) -> Counts:
    """The marks of turns as counts, one row for each child, in the order of their first turns.

    `children` names whose turn each is; without it each turn is of a child of its own.
    A turn needs a place for each rater: None where that rater gave no mark. Raises
    `RangeError` for a mark that is not on the scale.

    >>> tally([(0, 0), (0, 1), (1, 1)], categories=2).summed().joint
    array([[1., 1.],
           [0., 1.]])
    """
    rows = [tuple(one) for one in turns]
    named = list(range(len(rows))) if children is None else list(children)
    place: dict[Hashable, int] = {}
    for child in named:
        place.setdefault(child, len(place))
    shape = (len(place), categories, categories)
    counts = Counts(np.zeros(shape), np.zeros(shape), np.zeros(shape), np.zeros(shape[:2]))
    for marks, child in zip(rows, named, strict=True):
        _add(counts, place[child], marks)
    return counts


def _add(counts: Counts, child: int, marks: Marks) -> None:
    given = [mark for mark in marks if mark is not None]
    if any(not 0 <= mark < counts.categories for mark in given):
        raise RangeError(f"the marks {given}", f"places from 0 to {counts.categories - 1}", "read them again")
    if not given:
        return
    many = np.bincount(given, minlength=counts.categories).astype(float)
    counts.shares[child] += many / len(given)
    if len(given) < 2:
        return
    pairs = (np.outer(many, many) - np.diag(many)) / (len(given) * (len(given) - 1))
    counts.pairs[child] += pairs
    counts.values[child] += len(given) * pairs
    if len(marks) >= 2 and marks[0] is not None and marks[1] is not None:
        counts.joint[child, marks[0], marks[1]] += 1
