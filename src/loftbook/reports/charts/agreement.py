"""How many turns two people marked alike, for each criterion, with where the true share could lie."""

from __future__ import annotations

from collections.abc import Iterable

from loftbook.insight.agreement.criteria import CriterionAgreement
from loftbook.reports.charts.bars import IntervalRow, interval_bars
from loftbook.reports.charts.drawing import Drawing


def agreement_bars(found: Iterable[CriterionAgreement], *, width: float = 680) -> Drawing:
    """For each criterion the turns with the same mark, among those that two people marked, with the 95 % interval.

    Criteria of which no turn was marked twice stay out.

    >>> agreement_bars([]).alt
    'Turns with the same mark by two people: nothing to show.'
    """
    marked = [one for one in found if one.turns]
    rows = [
        IntervalRow(
            label=one.scale.name,
            seen=one.equal,
            low=one.share.low * one.turns,
            high=one.share.high * one.turns,
            of=one.turns,
            said=f"{one.equal:.0f} of {one.turns}",
            found=one.share.words,
        )
        for one in marked
    ]
    total = max((one.turns for one in marked), default=1)
    return interval_bars(
        "Turns with the same mark by two people", rows, total=total, unit="turns", width=width
    )
