"""Whether as many were alone as earlier camps let one expect, with the honest width of that.

How many of each group (see `pairing`) were alone at the next camp gives, by the
beta-binomial distribution, how probable each number alone today is. Each pair counts
as a trial of its own. Two of one gymnast, or all of one camp with its bed and its
weather, hang together more than that, so the truth is rather wider.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from enum import Enum
from math import lgamma

import numpy as np
from numpy.typing import NDArray

from loftbook.errors import RangeError
from loftbook.insight.pairing import Before, PairCounts, Today
from loftbook.insight.standing import met_words
from loftbook.ladder.rungs import Rung

MINIMUM_PAIRS = 8  # with fewer nothing is said; common practice, no source
_JEFFREYS = 0.5  # both parameters of the beta prior


class Verdict(Enum):
    """More, fewer or as many alone as expected, or not enough in the book to say."""

    MORE = "more than expected"
    FEWER = "fewer than expected"
    AS_EXPECTED = "as expected"
    CANNOT_SAY = "cannot say"


@dataclass(frozen=True)
class Expected:
    """How many of today's were to be expected alone on one rung, and how it came out.

    `people` showed it today, `seen` of them alone; `low` to `high` holds at least 95 %
    of the predictive distribution, `mean` is its mean. `pairs` are the earlier
    showings of gymnasts of today's groups, `camps` the camps of all earlier showings of
    the rung; `unheard` are the groups of today without any.
    """

    rung: str
    people: int
    seen: int
    mean: float
    low: int
    high: int
    verdict: Verdict
    pairs: int
    camps: int = 0
    unheard: tuple[Before, ...] = ()
    sentence: str = ""


def predictive(groups: Iterable[tuple[int, int, int]]) -> NDArray[np.float64]:
    """How probable each number alone today is: index k holds the probability of k.

    Each group is (how many today, alone of earlier ones, earlier ones). A group alone is
    beta-binomial, from Jeffreys' prior Beta(1/2, 1/2) and its earlier counts; the sum
    over the groups is their convolution. A group of which nothing is known is as
    likely to be all as none, and widens the whole.

    Raises `RangeError` for counts that cannot be.

    Source
        A. Gelman et al., Bayesian Data Analysis, 3rd ed. (2013), ch. 2: posterior
        predictive of a binomial model (from memory).

    >>> [round(float(p), 4) for p in predictive([(1, 3, 3)])]
    [0.125, 0.875]
    """
    total = np.ones(1)
    for today, alone, earlier in groups:
        if today < 0 or not 0 <= alone <= earlier:
            raise RangeError(
                f"{alone} of {earlier} alone before and {today} today", "counts that can be", "count again"
            )
        total = np.convolve(total, _beta_binomial(today, alone + _JEFFREYS, earlier - alone + _JEFFREYS))
    return total


def central_interval(probabilities: NDArray[np.float64], *, confidence: float = 0.95) -> tuple[int, int]:
    """The lowest and highest count left when each tail of at most half the rest is cut off.

    Counts are whole, so it holds at least `confidence`, mostly more.

    >>> central_interval(np.array([0.01, 0.49, 0.49, 0.01]))
    (1, 2)
    """
    tail = (1.0 - confidence) / 2
    below = np.cumsum(probabilities)
    above = np.cumsum(probabilities[::-1])[::-1]
    # Rounding must not decide on which side of the cut a count falls.
    slack = 1e-12
    low = int(np.searchsorted(below, tail + slack, side="right"))
    high = int(np.nonzero(above > tail + slack)[0][-1])
    return low, high


def expected(rung: Rung, today: Today, *, pairs: PairCounts | None, minimum: int = MINIMUM_PAIRS) -> Expected:
    """How many were to be expected alone today, and whether more or fewer were.

    Needs at least `minimum` earlier showings by gymnasts of today's groups, and that at
    least half of today's gymnasts stand in a group with any; otherwise, or with nobody
    showing it today, the verdict is that nobody can say. Raises
    `RangeError` for counts that cannot be.

    >>> from loftbook.ladder.rungs import Rung, Standard
    >>> from loftbook.ladder.scales import Help
    >>> rung = Rung("r", "Double pike", "pike", "", Standard(Help.NOBODY_IN, (), (), (), ""))
    >>> today = Today("r", {Before.ALONE: 10}, alone=3)
    >>> print(expected(rung, today, pairs=PairCounts("r", {Before.ALONE: (18, 20)}, 2)).sentence)
    Double pike: 3 of the 10 who showed it did it alone. From 20 earlier showings at 2 camps about 8.8 were
    to be expected, 6 to 10 in 95 of 100 such camps: fewer than expected.
    """
    groups = {group: n for group, n in today.groups.items() if n > 0}
    people = sum(groups.values())
    if not 0 <= today.alone <= people:
        raise RangeError(f"{today.alone} alone of {people}", "no more than showed it", "count again")
    counts = pairs.counts if pairs is not None else {}
    known = {group: counts.get(group, (0, 0)) for group in Before if group in groups}
    chances = predictive((groups[group], *counted) for group, counted in known.items())
    low, high = central_interval(chances)
    heard = sum(n for _, n in known.values())
    unheard = tuple(group for group, (_, n) in known.items() if n == 0)
    mostly = 2 * sum(groups[group] for group in unheard) <= people
    found = Expected(
        rung=rung.key,
        people=people,
        seen=today.alone,
        mean=float(chances @ np.arange(len(chances))),
        low=low,
        high=high,
        verdict=_verdict(today.alone, low, high, enough=heard >= minimum and people > 0 and mostly),
        pairs=heard,
        camps=pairs.camps if pairs is not None else 0,
        unheard=unheard,
    )
    return replace(found, sentence=f"{rung.name}: {_sentence(found, rung, groups=groups, minimum=minimum)}")


def _beta_binomial(trials: int, a: float, b: float) -> NDArray[np.float64]:
    k = range(trials + 1)
    whole = lgamma(trials + 1) + lgamma(a + b) - lgamma(a) - lgamma(b) - lgamma(trials + a + b)
    logs = [
        whole - lgamma(i + 1) - lgamma(trials - i + 1) + lgamma(i + a) + lgamma(trials - i + b) for i in k
    ]
    probabilities: NDArray[np.float64] = np.exp(np.array(logs))
    return probabilities


def _verdict(seen: int, low: int, high: int, *, enough: bool) -> Verdict:
    if not enough:
        return Verdict.CANNOT_SAY
    if seen > high:
        return Verdict.MORE
    return Verdict.FEWER if seen < low else Verdict.AS_EXPECTED


def _sentence(found: Expected, rung: Rung, *, groups: dict[Before, int], minimum: int) -> str:
    if not found.people:
        return "nobody showed it, so there is nothing to compare."
    text = f"{found.seen} of the {found.people} who showed it did it {met_words(rung.standard)}. "
    if found.verdict is Verdict.CANNOT_SAY:
        if found.pairs >= minimum:
            alike = sum(n for group, n in groups.items() if group not in found.unheard)
            return text + (
                "Whether that is many or few cannot be said: earlier camps show only gymnasts like "
                f"{alike} of these, and at least half are needed."
            )
        return text + (
            "Whether that is many or few cannot be said: the book holds "
            f"{_counted(found.pairs, 'earlier showing')} of gymnasts like these, and {minimum} are needed."
        )
    text += (
        f"From {_counted(found.pairs, 'earlier showing')} at {_counted(found.camps, 'camp')} "
        f"about {found.mean:.1f} were to be expected, {found.low} to {found.high} in 95 of 100 such camps: "
        f"{found.verdict.value}."
    )
    if found.unheard:
        who = " and ".join(f"the {groups[group]} {group.words}" for group in found.unheard)
        text += f" For {who} the book holds no earlier showing, which makes the range wide."
    return text


def _counted(number: int, thing: str) -> str:
    return f"{number or 'no'} {thing}{'' if number == 1 else 's'}"
