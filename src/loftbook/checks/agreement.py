"""How alike raters mark: kappa, AC1 and AC2, alpha, and the error of a mark, against print and other programs."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from itertools import permutations
from math import sqrt
from typing import Any

import numpy as np

from loftbook.checks.places import authority, needed
from loftbook.checks.registry import Finding, check
from loftbook.insight.agreement.coefficients import (
    alike,
    alpha,
    gwet,
    identity_weights,
    kappa,
    linear_weights,
    quadratic_weights,
)
from loftbook.insight.agreement.error import mark_error, standard_error
from loftbook.insight.agreement.intervals import large_sample_error
from loftbook.insight.agreement.tally import Array, Counts, tally

_WEIGHTS = {"identity": identity_weights, "linear": linear_weights, "quadratic": quadratic_weights}
_NAMES = {"identity": None, "linear": "linear", "quadratic": "quadratic"}  # as statsmodels calls them


@check(
    name="Kappa as Cohen has it",
    kind="published",
    source="Cohen (1960), Educ. Psychol. Meas. 20, 37-46; Cohen (1968), Psychol. Bull. 70, 213-220 (from memory)",
    expected="0.492; with weights 0.348",
    tolerance="0.0005: three figures are printed",
)
def kappa_as_cohen() -> Finding:
    """200 cases, three diagnoses."""
    told = authority("agreement")["cohen"]
    counts = _of_table(told["table"])
    apart = np.array(told["disagreement"], dtype=float)
    plain, weighted = _value(kappa(counts, np.eye(3))), _value(kappa(counts, 1 - apart / apart.max()))
    holds = abs(plain - told["kappa"]) <= 0.0005 and abs(weighted - told["weighted"]) <= 0.0005
    return Finding(f"{plain:.3f}; with weights {weighted:.3f}", holds)


@check(
    name="High agreement with a low kappa",
    kind="published",
    source="Feinstein & Cicchetti (1990), J. Clin. Epidemiol. 43, 543-549 (from memory)",
    expected="85 % alike: kappa 0.70 and 0.32; 60 % alike: 0.13 and 0.26",
    tolerance="0.005: two figures are printed",
)
def the_paradoxes() -> Finding:
    """Two pairs of tables, each pair as much alike, with another kappa."""
    worst, got = 0.0, []
    for row in authority("agreement")["paradoxes"]["rows"]:
        counts = _of_table(row["table"])
        share, ours = _value(alike(counts, np.eye(2))), _value(kappa(counts, np.eye(2)))
        worst = max(worst, abs(share - row["alike"]), abs(ours - row["kappa"]))
        got.append(f"{share:.2f}: {ours:.2f}")
    return Finding("; ".join(got), len(got) == 4 and worst <= 0.005)


@check(
    name="AC1 where nearly all marks are the same",
    kind="published",
    source="Gwet (2008), Br. J. Math. Stat. Psychol. 61, 29-48 (from memory)",
    expected="0.944 alike; kappa -0.023; AC1 0.941",
    tolerance="0.0005: three figures are printed",
)
def ac1_as_gwet() -> Finding:
    """125 cases, of which 118 are of the same kind for both."""
    told = authority("agreement")["gwet"]
    counts = _of_table(told["table"])
    ours = [_value(one(counts, np.eye(2))) for one in (alike, kappa, gwet)]
    close = [abs(got - told[key]) <= 0.0005 for got, key in zip(ours, ("alike", "kappa", "ac1"), strict=True)]
    return Finding("{:.3f} alike; kappa {:.3f}; AC1 {:.3f}".format(*ours), all(close))


@check(
    name="Alpha as Krippendorff has it",
    kind="published",
    source="Krippendorff (2011), Computing Krippendorff's Alpha-Reliability (from memory)",
    expected="two observers 0.095 and 0.692; four with blanks 0.743 nominal, 0.815 ordinal, 0.849 interval",
    tolerance="0.0005: three figures are printed",
)
def alpha_as_krippendorff() -> Finding:
    """Ten units by two observers, twelve by two, and twelve by four who left some out."""
    worst, got = 0.0, []
    for told in authority("agreement")["krippendorff"].values():
        counts = _of_observers(told["marks"])
        for metric in told.keys() - {"marks"}:
            ours = _value(alpha(counts, metric))
            worst = max(worst, abs(ours - told[metric]))
            got.append(f"{metric} {ours:.3f}")
    return Finding("; ".join(sorted(got)), len(got) == 5 and worst <= 0.0005)


@check(
    name="AC1 of four observers with blanks",
    kind="published",
    source="Gwet, Handbook of Inter-Rater Reliability, on Krippendorff's four observers (from memory)",
    expected="0.818 alike; AC1 0.775",
    tolerance="0.0005: three figures are printed",
)
def ac1_of_four() -> Finding:
    """The same twelve units as for alpha."""
    filed = authority("agreement")
    counts = _of_observers(filed["krippendorff"]["four_observers"]["marks"])
    share, ours = _value(alike(counts, np.eye(5))), _value(gwet(counts, np.eye(5)))
    close = (
        abs(share - filed["handbook"]["alike"]) <= 0.0005 and abs(ours - filed["handbook"]["ac1"]) <= 0.0005
    )
    return Finding(f"{share:.3f} alike; AC1 {ours:.3f}", close)


@check(
    name="Kappa and its error as statsmodels has them",
    kind="second engine",
    source="statsmodels, inter_rater.cohens_kappa, whose error is that of Fleiss, Cohen & Everitt (1969)",
    expected="the same kappa and error for 60 tables of 2 to 5 places, with no, linear and quadratic weights",
    tolerance="1e-9: rounding",
)
def kappa_as_statsmodels() -> Finding:
    """Invented tables of 60 turns each."""
    theirs = needed("statsmodels.stats.inter_rater").cohens_kappa
    chance, worst, tables = np.random.default_rng(1969), 0.0, 0
    for _ in range(60):
        q = int(chance.integers(2, 6))
        table = chance.multinomial(60, chance.dirichlet(np.ones(q * q))).reshape(q, q)
        counts = _of_table(table)
        for name, weights in _WEIGHTS.items():
            other = theirs(table, wt=_NAMES[name])
            ours = _value(kappa(counts, weights(q)))
            error = large_sample_error(counts.joint, weights(q))
            worst = max(worst, abs(ours - other.kappa), abs(error - other.std_kappa))
        tables += 1
    return Finding(f"{tables} tables, largest difference {worst:.1e}", bool(worst <= 1e-9))


@check(
    name="Kappa, AC and alpha as irrCAC has them",
    kind="second engine",
    source="irrCAC 0.4.4, run once and filed: five invented sets of marks, two to four raters, some blank",
    expected="the same 31 coefficients",
    tolerance="5e-9: ten figures are filed",
)
def as_irrcac() -> Finding:
    """Plain, linear and quadratic weights; nominal and interval alpha."""
    worst, number = 0.0, 0
    for row in authority("agreement")["irrcac"]["rows"]:
        turns = [[None if c == "." else int(c) for c in turn] for turn in row["turns"].split()]
        counts, q = tally(turns, categories=row["places"]).summed(), row["places"]
        for key in row.keys() - {"places", "turns"}:
            what, how = key.split("_")
            worst, number = max(worst, abs(_one(counts, what, how, q) - row[key])), number + 1
    return Finding(f"{number} coefficients, largest difference {worst:.1e}", number == 31 and worst <= 5e-9)


@check(
    name="Alpha by listing every pair of marks",
    kind="second engine",
    source="the definition: 1 - disagreement within turns / disagreement of all marks, pair by pair",
    expected="the same alpha for 60 sets of marks by three raters, some blank; nominal, ordinal and interval",
    tolerance="1e-10: rounding",
)
def alpha_by_listing() -> Finding:
    """The slow way, without a matrix."""
    chance, worst = np.random.default_rng(2011), 0.0
    for _ in range(60):
        drawn = chance.integers(-1, 4, size=(15, 3))
        turns = [[None if mark < 0 else int(mark) for mark in turn] for turn in drawn]
        counts = tally(turns, categories=4).summed()
        for metric in ("nominal", "ordinal", "interval"):
            worst = max(worst, abs(_value(alpha(counts, metric)) - _listed(turns, metric)))
    return Finding(f"largest difference {worst:.1e}", worst <= 1e-10)


@check(
    name="The error of a mark as Weir has it",
    kind="published",
    source="Weir (2005), J. Strength Cond. Res. 19, 231-240: mean square within subjects, one-way (from memory)",
    expected="53.75, so an error of 7.33",
    tolerance="0.005: two decimals are printed",
)
def error_as_weir() -> Finding:
    """Eight subjects, two trials."""
    told = authority("agreement")["weir"]
    turns = list(zip(told["first"], told["second"], strict=True))
    error = float(standard_error(tally(turns, categories=220).summed().pairs))
    return Finding(f"{error**2:.2f}, so an error of {error:.2f}", abs(error**2 - told["within"]) <= 0.005)


@check(
    name="The error of a mark as an analysis of variance has it",
    kind="second engine",
    source="statsmodels, OLS with a term for each turn: the residual mean square is the error squared",
    expected="the same error for 20 sets of 40 turns",
    tolerance="1e-9: rounding",
)
def error_as_anova() -> Finding:
    """Invented marks of three levels."""
    ols = needed("statsmodels.api").OLS
    chance, worst = np.random.default_rng(2005), 0.0
    for _ in range(20):
        marks = chance.integers(0, 3, size=(40, 2))
        fit = ols(marks.ravel().astype(float), np.kron(np.eye(40), np.ones((2, 1)))).fit()
        ours = float(standard_error(tally(marks.tolist(), categories=3).summed().pairs))
        worst = max(worst, abs(ours - sqrt(fit.mse_resid)))
    return Finding(f"largest difference {worst:.1e}", worst <= 1e-9)


@check(
    name="The smallest detectable change",
    kind="law",
    source="the difference of two marks with independent errors: 1.96 times the root of 2 times the error",
    expected="2.7718 times the error, and its interval likewise",
    tolerance="1e-12 of it: rounding",
)
def smallest_change() -> Finding:
    """One set of 40 turns, a quarter of them a level apart."""
    turns = [(1, 1), (2, 2), (0, 1), (2, 2)] * 10
    found = mark_error(tally(turns, categories=3))
    assert found is not None
    pairs = zip(_ends(found.smallest), _ends(found.error), strict=True)
    ratios = [change / error for change, error in pairs]
    factor = float(needed("scipy.stats").norm.ppf(0.975)) * sqrt(2)
    return Finding(f"{ratios[0]:.4f} times", max(abs(r / factor - 1) for r in ratios) <= 1e-12)


def _value(one: Any) -> float:
    return float(one.value)


def _ends(one: Any) -> Iterable[float]:
    return (one.value, one.low, one.high)


def _one(counts: Counts, what: str, how: str, q: int) -> float:
    if what == "alpha":
        return _value(alpha(counts, how))
    return _value((gwet if what == "ac" else kappa)(counts, _WEIGHTS[how](q)))


def _of_table(table: Any) -> Counts:
    rows = np.asarray(table)
    turns = [place for place in np.ndindex(rows.shape) for _ in range(int(rows[place]))]
    return tally(turns, categories=len(rows)).summed()


def _of_observers(marks: Sequence[str]) -> Counts:
    letters = sorted({letter for row in marks for letter in row} - {"."})
    turns = [[None if c == "." else letters.index(c) for c in unit] for unit in zip(*marks, strict=True)]
    return tally(turns, categories=len(letters)).summed()


def _listed(turns: Sequence[Sequence[int | None]], metric: str) -> float:
    rows = [[mark for mark in turn if mark is not None] for turn in turns]
    paired = [row for row in rows if len(row) > 1]
    every = [mark for row in paired for mark in row]
    apart = _distances(every, metric)
    seen = sum(apart[a, b] / (len(row) - 1) for row in paired for a, b in permutations(row, 2))
    drawn = sum(apart[a, b] for a, b in permutations(every, 2))
    return float(1 - (len(every) - 1) * seen / drawn)


def _distances(every: Sequence[int], metric: str) -> Array:
    apart = np.zeros((4, 4))
    for a, b in permutations(range(4), 2):
        low, high = min(a, b), max(a, b)
        between = sum(low <= mark <= high for mark in every) - (every.count(a) + every.count(b)) / 2
        apart[a, b] = {"nominal": 1.0, "ordinal": between**2, "interval": float(a - b) ** 2}[metric]
    return apart
