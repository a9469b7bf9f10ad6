"""How alike the marks of the same turns are: for what became of the turn, and for each criterion."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from loftbook.book.attempts import Attempt
from loftbook.insight.agreement.coefficients import (
    alpha,
    gwet,
    identity_weights,
    kappa,
    linear_weights,
    quadratic_weights,
)
from loftbook.insight.agreement.error import FEWEST_FOR_ERROR, MarkError, mark_error
from loftbook.insight.agreement.intervals import Estimate, estimate
from loftbook.insight.agreement.tally import Counts, tally
from loftbook.insight.wilson import Interval, wilson
from loftbook.ladder.rungs import Ladder
from loftbook.ladder.scales import Outcome, Rotation

#: Below so many turns no coefficient is given, only the counts: common practice, no source.
FEWEST = 10
#: So near the share of equal marks should be known, either way: common practice, no source.
NEAR_ENOUGH = 0.10
OUTCOME, CAME_ROUND = "outcome", "came_round"
_ROUND = {Rotation.SHORT: 0, Rotation.ON: 1, Rotation.OVER: 2}
_SHOWN = {Outcome.TRIED: 0, Outcome.DID_IT: 1}


@dataclass(frozen=True)
class Scale:
    """One thing that is marked: its name, its places in words, and whether they stand in an order."""

    key: str
    name: str
    places: tuple[str, ...]
    ordered: bool = True


@dataclass(frozen=True)
class CriterionAgreement:
    """How alike the marks on one scale are; coefficients are None below `FEWEST` turns.

    Meaning
        turns, children : how many were marked by two people or more, and whose
        equal : of them with the same mark (in part, where three people marked)
        share : 95 % interval of that share, by Wilson
        kappa, kappa_linear, kappa_quadratic : Cohen's, plain and with weights
        ac : Gwet's AC1; for places in an order AC2 with linear weights
        alpha : Krippendorff's, ordinal for places in an order
        error : of one mark, None where the places have no order
        more : so many more turns are needed until the share is known to 10 points
    """

    scale: Scale
    turns: int
    children: int
    equal: float
    share: Interval
    more: int
    kappa: Estimate | None = None
    kappa_linear: Estimate | None = None
    kappa_quadratic: Estimate | None = None
    ac: Estimate | None = None
    alpha: Estimate | None = None
    error: MarkError | None = None

    @property
    def told(self) -> bool:
        """True where there are turns enough for a coefficient."""
        return self.ac is not None and self.ac.value is not None


def scales(ladder: Ladder) -> tuple[Scale, ...]:
    """What is marked, in the order of the ladder: the outcome, how it came round, each criterion.

    >>> from loftbook.ladder.shipped import shipped_ladder
    >>> [one.name for one in scales(shipped_ladder())][:3]
    ['Outcome', 'Came round', 'Lift']
    """
    return (
        Scale(OUTCOME, "Outcome", ("tried, not yet", "did it"), ordered=False),
        Scale(CAME_ROUND, "Came round", ("short", "on", "over")),
        *(Scale(one.key, one.name, ("1", "2", "3")) for one in ladder.criteria),
    )


def place_of(attempt: Attempt, key: str) -> int | None:
    """Where a mark stands on its scale, from 0; None where nothing was marked, or no turn was taken."""
    if key == OUTCOME:
        return _SHOWN.get(attempt.outcome)
    if key == CAME_ROUND:
        return None if attempt.rotation is None else _ROUND[attempt.rotation]
    level = attempt.marks.get(key)
    return None if level is None else level - 1


def counts_of(turns: Sequence[Sequence[Attempt]], scale: Scale) -> Counts:
    """The marks of these turns on one scale as counts, child by child; a turn with one mark only is left out."""
    seats = max((len(marks) for marks in turns), default=0)
    rows = [[place_of(a, scale.key) for a in marks] + [None] * (seats - len(marks)) for marks in turns]
    kept = [n for n, row in enumerate(rows) if sum(mark is not None for mark in row) > 1]
    whose = [turns[n][0].athlete for n in kept]
    return tally([rows[n] for n in kept], categories=len(scale.places), children=whose)


def agreement_of(turns: Iterable[Sequence[Attempt]], ladder: Ladder) -> Mapping[str, CriterionAgreement]:
    """How alike the marks are on each scale, in the order of the ladder.

    `turns` are those that two people or more marked, as `book.turns.marked_together`
    gives them. A turn that one called taken and another a blank has no pair of outcomes.
    """
    rows = tuple(turns)
    return {scale.key: _agreement(counts_of(rows, scale), scale) for scale in scales(ladder)}


def errors_of(turns: Iterable[Sequence[Attempt]], ladder: Ladder) -> Mapping[str, MarkError]:
    """The error of a mark on each scale whose places have an order, where any turn was marked twice."""
    rows = tuple(turns)
    found = {one.key: mark_error(counts_of(rows, one)) for one in scales(ladder) if one.ordered}
    return {key: error for key, error in found.items() if error is not None}


def _agreement(counts: Counts, scale: Scale) -> CriterionAgreement:
    whole, q = counts.summed(), len(scale.places)
    turns = round(float(whole.pairs.sum()))
    equal = float((whole.pairs * identity_weights(q)).sum())
    told = CriterionAgreement(
        scale=scale,
        turns=turns,
        children=len(counts.shares),
        equal=equal,
        share=wilson(min(equal, turns), turns),
        more=more_turns(equal, turns),
    )
    return told if turns < FEWEST else _with_coefficients(told, counts)


def _with_coefficients(told: CriterionAgreement, counts: Counts) -> CriterionAgreement:
    q, ordered = counts.categories, told.scale.ordered
    plain, linear = identity_weights(q), linear_weights(q)
    return CriterionAgreement(
        scale=told.scale,
        turns=told.turns,
        children=told.children,
        equal=told.equal,
        share=told.share,
        more=told.more,
        kappa=estimate(counts, lambda some: kappa(some, plain)),
        kappa_linear=estimate(counts, lambda some: kappa(some, linear)) if ordered else None,
        kappa_quadratic=estimate(counts, lambda some: kappa(some, quadratic_weights(q))) if ordered else None,
        ac=estimate(counts, lambda some: gwet(some, linear if ordered else plain)),
        alpha=estimate(counts, lambda some: alpha(some, "ordinal" if ordered else "nominal")),
        error=mark_error(counts) if ordered else None,
    )


def more_turns(equal: float, turns: int) -> int:
    """How many more turns two people should mark until the share of equal marks is known to 10 points either way.

    The rule: Wilson's 95 % interval no wider than twice `NEAR_ENOUGH`, for the
    share inside today's interval that needs most turns; and never fewer than 30 in all,
    which the error of a mark asks for. Common practice, no source.

    >>> more_turns(0, 0), more_turns(27, 30), more_turns(90, 100)
    (93, 41, 0)
    """
    now = wilson(min(equal, turns), turns)
    share = min(max(0.5, now.low), now.high)
    needed = max(turns, FEWEST_FOR_ERROR)
    while (found := wilson(share * needed, needed)).high - found.low > 2 * NEAR_ENOUGH:
        needed += 1
    return needed - turns


def least_alike(found: Iterable[CriterionAgreement]) -> tuple[CriterionAgreement, ...]:
    """The scales that agree least: the lowest first, then those that cannot be told from it.

    Two cannot be told apart where their intervals overlap. Empty with fewer than two to
    compare.
    """
    told = sorted((one for one in found if one.told), key=lambda one: (_ac(one)[0], one.scale.key))
    if len(told) < 2:
        return ()
    _, _, top = _ac(told[0])
    return tuple(one for one in told if one is told[0] or _ac(one)[1] <= top)


def least_words(found: Iterable[CriterionAgreement]) -> str:
    """Which scale agrees least, and from which it cannot be told, in a sentence; empty with fewer than two to compare.

    >>> least_words([])
    ''
    """
    every = tuple(found)
    least = least_alike(every)
    if not least:
        return ""
    first, names = least[0], [one.scale.name.lower() for one in least[1:]]
    assert first.ac is not None
    told = f"{first.scale.name} agrees least, AC {first.ac.words}"
    if not names:
        return f"{told}, and can be told apart from all others."
    if len(least) == sum(one.told for one in every):
        return f"{told}; but with so few turns no criterion can be told apart from it."
    listed = f"{', '.join(names[:-1])} and {names[-1]}" if len(names) > 1 else names[0]
    return f"{told}. It cannot be told apart from {listed}."


def _ac(one: CriterionAgreement) -> tuple[float, float, float]:
    assert one.ac is not None
    assert one.ac.value is not None
    low = one.ac.low if one.ac.low is not None else -1.0
    return one.ac.value, low, one.ac.high if one.ac.high is not None else 1.0
