"""How often the interval of a coefficient holds the truth, when the truth is known because it was invented."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import numpy as np

from loftbook.checks.registry import Finding, check
from loftbook.insight.agreement.coefficients import (
    Coefficient,
    alpha,
    gwet,
    identity_weights,
    kappa,
    linear_weights,
)
from loftbook.insight.agreement.intervals import estimate
from loftbook.insight.agreement.tally import Array, Counts, tally

_CAMPS = 200
_STAYS = 0.5  # how often a child shows what is her own level


@check(
    name="Intervals of agreement with few children",
    kind="second engine",
    source="simulation: 200 camps with seeds 1 to 200 of 10 children with 2 turns each, whose true agreement is known",
    expected="at least 91 % of the 95 % intervals hold it: marks of three levels, and an outcome that is 90 % one way",
    tolerance="three standard errors of 200 camps below 95 % would be 90.4 %",
)
def few_children() -> Finding:
    """Ten children: kappa, AC and alpha, for marks and for a skewed outcome."""
    linear, plain = linear_weights(3), identity_weights(2)
    marks: dict[str, Coefficient] = {
        "marks, kappa": lambda c: kappa(c, linear),
        "marks, AC2": lambda c: gwet(c, linear),
        "marks, alpha": lambda c: alpha(c, "ordinal"),
    }
    outcome: dict[str, Coefficient] = {
        "outcome, kappa": lambda c: kappa(c, plain),
        "outcome, AC1": lambda c: gwet(c, plain),
        "outcome, alpha": lambda c: alpha(c, "nominal"),
    }
    held = _held(_MARKS, 0.25, marks) | _held(_OUTCOME, 0.05, outcome)
    got = "; ".join(f"{name} {share:.0%}" for name, share in held.items())
    return Finding(got, min(held.values()) >= 0.91)


_MARKS, _OUTCOME = (0.25, 0.45, 0.30), (0.10, 0.90)


def _held(shares: Sequence[float], slips: float, asked: Mapping[str, Coefficient]) -> dict[str, float]:
    """The share of the invented camps whose interval holds the true coefficient; those without one do not count."""
    says = _says(len(shares), slips)
    truth = _population(np.array(shares), says)
    held: dict[str, list[bool]] = {name: [] for name in asked}
    for seed in range(1, _CAMPS + 1):
        camp = _camp(seed, np.array(shares), says)
        for name, coefficient in asked.items():
            true = float(coefficient(truth).value)
            found = estimate(camp, coefficient, seed=seed, draws=200)
            if found.value is not None and found.low is not None and found.high is not None:
                held[name].append(found.low <= true <= found.high)
    return {name: float(np.mean(ones)) for name, ones in held.items()}


def _says(places: int, slips: float) -> Array:
    """What a rater says of each true place: mostly that, now and then a neighbour."""
    says = np.eye(places) * (1 - slips)
    for place in range(places):
        for side in (-1, 1):
            says[place, min(max(place + side, 0), places - 1)] += slips / 2
    return says if places > 2 else np.array([[1 - slips, slips], [slips, 1 - slips]])


def _population(shares: Array, says: Array) -> Counts:
    joint = np.einsum("t,ti,tj->ij", shares, says, says) * 1e9
    return Counts(joint, (joint + joint.T) / 2, joint + joint.T, joint.sum(axis=0))


def _camp(seed: int, shares: Array, says: Array) -> Counts:
    chance = np.random.default_rng(seed)
    turns, children = [], []
    for child in range(10):
        own = chance.choice(len(shares), p=shares)
        for _ in range(2):
            true = own if chance.random() < _STAYS else chance.choice(len(shares), p=shares)
            turns.append([int(chance.choice(len(shares), p=says[true])) for _ in range(2)])
            children.append(child)
    return tally(turns, categories=len(shares), children=children)
