"""Counts, intervals and expectations, against print, laws and other people's programs."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable
from datetime import date
from itertools import product
from typing import Any
from uuid import UUID

import numpy as np
from numpy.typing import NDArray

from loftbook.book.people import Athlete, Camp
from loftbook.checks.places import authority, needed
from loftbook.checks.registry import Finding, check
from loftbook.insight.expectation import central_interval, predictive
from loftbook.insight.inventory import Inventory, RungInventory, inventory
from loftbook.insight.standing import Standing, State
from loftbook.insight.wilson import wilson
from loftbook.ladder.rungs import Ladder, Rung, Standard
from loftbook.ladder.scales import Help

_SMALL = [(alone, shown) for shown in range(1, 61) for alone in range(shown + 1)]
_GROUPS = [(9, 12, 14), (6, 5, 20), (4, 0, 7), (5, 0, 0)]  # (today, alone earlier, earlier)


@check(
    name="Wilson intervals as printed",
    kind="published",
    source="Newcombe (1998), Stat. Med. 17, 857-872, table I, method 3 (from memory)",
    expected="81/263: 0.2553 to 0.3662; 15/148: 0.0624 to 0.1605; 0/20: 0 to 0.1611; 1/29: 0.0061 to 0.1718",
    tolerance="0.00005: four figures are printed",
)
def wilson_as_printed() -> Finding:
    """The four worked examples of the comparison of seven methods."""
    return _against_rows(authority("wilson")["newcombe_1998"]["rows"], tolerance=0.00005)


@check(
    name="Wilson intervals as R has them",
    kind="second engine",
    source="R's prop.test and binom.confint, as filed in the tests of SciPy 1.17 and statsmodels 0.15",
    expected="3/10: 0.1077913 to 0.6032219, and four more",
    tolerance="0.00000005: the first three have seven figures",
)
def wilson_as_r_has_it() -> Finding:
    """Five counts of ten and of twenty, both ends among them."""
    return _against_rows(authority("wilson")["r"]["rows"], tolerance=5e-8)


@check(
    name="Wilson intervals for every count up to 60",
    kind="second engine",
    source="statsmodels, proportion_confint(method='wilson'), and SciPy, binomtest(...).proportion_ci('wilson')",
    expected="the same ends for all 1,890 counts",
    tolerance="1e-12: rounding",
)
def wilson_as_two_engines() -> Finding:
    """Every count that a squad of up to 60 can give, in both engines."""
    proportion = needed("statsmodels.stats.proportion")
    stats = needed("scipy.stats")
    worst = 0.0
    for alone, shown in _SMALL:
        ours = wilson(alone, shown)
        theirs = stats.binomtest(alone, shown).proportion_ci(method="wilson")
        low, high = proportion.proportion_confint(alone, shown, method="wilson")
        worst = max(worst, *(abs(ours.low - x) for x in (low, theirs.low)))
        worst = max(worst, *(abs(ours.high - x) for x in (high, theirs.high)))
    return Finding(f"largest difference {worst:.1e}", worst <= 1e-12)


@check(
    name="How many to expect, one group",
    kind="second engine",
    source="SciPy, scipy.stats.betabinom, with Jeffreys' prior",
    expected="the same probabilities for every group of up to 12 with up to 20 earlier",
    tolerance="1e-12: rounding",
)
def one_group_as_scipy() -> Finding:
    """The predictive distribution of one group, point by point."""
    betabinom = needed("scipy.stats").betabinom
    worst = 0.0
    for today, earlier in product(range(1, 13), range(21)):
        for alone in range(earlier + 1):
            theirs = betabinom.pmf(np.arange(today + 1), today, alone + 0.5, earlier - alone + 0.5)
            ours = predictive([(today, alone, earlier)])
            worst = max(worst, float(np.abs(ours - theirs).max()))
    return Finding(f"largest difference {worst:.1e}", worst <= 1e-12)


@check(
    name="How many to expect, four groups together",
    kind="second engine",
    source="simulation: 400,000 draws with seed 2025, a rate for each group from its beta, then a binomial",
    expected="the share of draws at each count",
    tolerance="4.5 standard errors of the draws at every count; the interval's ends the same",
)
def four_groups_as_drawn() -> Finding:
    """The sum over groups, one of them without any earlier showing, against plain drawing of lots."""
    draws = 400_000
    chance = np.random.default_rng(2025)
    total = np.zeros(draws, dtype=np.int64)
    for today, alone, earlier in _GROUPS:
        rates = chance.beta(alone + 0.5, earlier - alone + 0.5, draws)
        total += chance.binomial(today, rates)
    ours = predictive(_GROUPS)
    drawn = np.bincount(total, minlength=len(ours)) / draws
    errors = np.abs(drawn - ours) / np.sqrt(ours * (1 - ours) / draws)
    low, high = central_interval(ours)
    same = (low, high) == _drawn_interval(total)
    worst = float(errors.max())
    got = f"largest difference {worst:.1f} standard errors; {low} to {high}, drawn the {'same' if same else 'other'}"
    return Finding(got, worst < 4.5 and same)


@check(
    name="How many to expect when nothing is known",
    kind="published",
    source="Feller (1968), Introduction to Probability I, ch. III.4, table 1: arc sine law (from memory)",
    expected="0.1762, 0.0927, 0.0736, 0.0655, 0.0617, 0.0606 and the mirror of it, for ten gymnasts",
    tolerance="0.00005: four figures are printed",
)
def nothing_known_is_arc_sine() -> Finding:
    """With no earlier showing, all or none of ten are the likeliest."""
    printed = np.array(authority("arc_sine")["order_10"]["probabilities"])
    ours = predictive([(10, 0, 0)])
    got = ", ".join(f"{p:.4f}" for p in ours[:6])
    return Finding(got, bool(np.abs(ours - printed).max() <= 0.00005))


@check(
    name="How sure it is that the next one does it",
    kind="published",
    source="Krichevsky & Trofimov (1981), IEEE Trans. Inf. Theory 27, 199-207 (from memory): (a + 1/2)/(n + 1)",
    expected="3 of 3 before: 0.875; 0 of 5 before: 0.0833; and every count up to 60",
    tolerance="1e-12 of it: rounding",
)
def the_next_one() -> Finding:
    """One gymnast today, after a of n earlier ones."""
    worst = max(abs(predictive([(1, a, n)])[1] * (n + 1) / (a + 0.5) - 1) for a, n in _SMALL)
    three, none = predictive([(1, 3, 3)])[1], predictive([(1, 0, 5)])[1]
    return Finding(f"{three:.3f}; {none:.4f}; largest difference {worst:.1e} of it", worst <= 1e-12)


@check(
    name="Everybody in exactly one place",
    kind="law",
    source="conservation: an inventory divides the squad",
    expected="each of 730 gymnasts once on each of three rungs and once among the patterns",
    tolerance="none: whole numbers",
)
def everybody_once() -> Finding:
    """All 9 x 9 x 9 ways to stand on three rungs, and one gymnast of whom nothing is written at all."""
    found, squad = _all_ways_to_stand()
    wrong = sum(Counter(_placed(one)) != squad for one in found.rungs)
    wrong += Counter(who for pattern in found.patterns for who in pattern.athletes) != squad
    return Finding(
        f"{len(squad)} gymnasts, {len(found.rungs)} rungs, {wrong} wrong",
        wrong == 0 and len(found.rungs) == 3,
    )


def _against_rows(rows: Iterable[dict[str, Any]], *, tolerance: float) -> Finding:
    worst, got = 0.0, []
    for row in rows:
        ours = wilson(row["successes"], row["trials"])
        worst = max(worst, abs(ours.low - row["low"]), abs(ours.high - row["high"]))
        got.append(f"{row['successes']}/{row['trials']}: {ours.low:.7f} to {ours.high:.7f}")
    return Finding("; ".join(got), bool(got) and worst <= tolerance)


def _drawn_interval(total: NDArray[np.int64]) -> tuple[int, int]:
    low, high = np.quantile(total, [0.025, 0.975], method="inverted_cdf")
    return int(low), int(high)


def _all_ways_to_stand() -> tuple[Inventory, Counter[UUID]]:
    asked = Standard(Help.NOBODY_IN, (), (), (), "")
    rungs = tuple(Rung(key, key, key, "", asked, tested=True) for key in ("one", "two", "three"))
    day = date(2025, 4, 12)
    camp = Camp(UUID(int=1), "Invented camp", day, day, "1")
    ways = list(product(State, repeat=3))
    squad = [Athlete(UUID(int=n), ()) for n in range(len(ways) + 1)]
    standings = [
        Standing(UUID(int=n), camp.id, rung.key, state)
        for n, states in enumerate(ways)
        for rung, state in zip(rungs, states, strict=True)
    ]
    ladder = Ladder("", "1", day, rungs, (), ())
    found = inventory(camp, ladder, athletes=squad, standings=standings)
    return found, Counter(athlete.id for athlete in squad)


def _placed(one: RungInventory) -> Iterable[UUID]:
    places = [one.alone, *(way.athletes for way in one.helped), *(way.athletes for way in one.tried)]
    return (who for place in [*places, *one.blanks.values()] for who in place)
