"""How sure a count can be: the interval of a share by Wilson's formula."""

from __future__ import annotations

from dataclasses import dataclass
from math import sqrt
from statistics import NormalDist

from loftbook.errors import RangeError


@dataclass(frozen=True)
class Interval:
    """From low to high, both shares between 0 and 1, both ends included.

    >>> Interval(0.21, 0.94).words
    '21 to 94 %'
    >>> 0.5 in Interval(0.21, 0.94)
    True
    """

    low: float
    high: float

    def __contains__(self, share: float) -> bool:
        return self.low <= share <= self.high

    @property
    def words(self) -> str:
        """As whole per cent, for reading."""
        return f"{100 * self.low:.0f} to {100 * self.high:.0f} %"


def wilson(successes: float, trials: float, *, confidence: float = 0.95) -> Interval:
    """Between which shares the true rate may lie, given so many out of so many.

    Three of three is compatible with a true rate of 44 %. The interval never leaves
    0 to 1, and with no trials at all it is the whole of it: nothing is known.

    Units
        successes, trials : counts, 0 <= successes <= trials; a success may be one in part,
            where turns are alike in part, and the interval is then rather too wide
        confidence : share of such intervals that hold the true rate, about; not 0, not 1
        returns : shares, not per cent

    Valid for trials that do not hang together. Turns of one tired child in one session
    do, so there the truth is wider; one standing of each child is the better count.
    Raises `RangeError` for counts that cannot be.

    Source
        E. B. Wilson (1927), J. Am. Stat. Assoc. 22, 209-212: the score interval without
        continuity correction.

    >>> wilson(3, 3).words
    '44 to 100 %'
    >>> wilson(0, 0)
    Interval(low=0.0, high=1.0)
    """
    _must_make_sense(successes, trials, confidence)
    if trials == 0:
        return Interval(0.0, 1.0)
    z = NormalDist().inv_cdf(0.5 + confidence / 2)
    share, weight = successes / trials, z * z / trials
    middle = (share + weight / 2) / (1 + weight)
    half = z * sqrt((share * (1 - share) + weight / 4) / trials) / (1 + weight)
    # At the two ends the formula is 0 and 1 but for rounding.
    low = 0.0 if successes == 0 else middle - half
    high = 1.0 if successes == trials else middle + half
    return Interval(low, high)


def _must_make_sense(successes: float, trials: float, confidence: float) -> None:
    if not 0 <= successes <= trials:
        raise RangeError(
            f"{successes} of {trials}", "a count between 0 and the number of trials", "count again"
        )
    if not 0.0 < confidence < 1.0:
        raise RangeError(f"a confidence of {confidence}", "a share between 0 and 1", "give 0.95 for 95 %")
