"""What earlier pairs of camps say, from the store's counts to the value insight works with."""

from __future__ import annotations

from collections.abc import Mapping

from loftbook.book.people import Camp
from loftbook.desk import Desk
from loftbook.insight.history import History
from loftbook.insight.pairing import Before, PairCounts
from loftbook.insight.standing import State
from loftbook.store import pairs
from loftbook.store.database import Connection

__all__ = ["Desk", "History", "earlier_pairs"]


def earlier_pairs(connection: Connection, *, before: Camp) -> Mapping[str, PairCounts]:
    """For each rung how many of each group were alone at their next camp, before this camp."""
    counts: dict[str, dict[Before, list[int]]] = {}
    for (rung, then, now), n in pairs.transitions(connection, before=before).items():
        if now.is_blank:
            continue
        group = Before.NOT_SHOWN if then is not None and then.is_blank else Before(then.value)
        cell = counts.setdefault(rung, {}).setdefault(group, [0, 0])
        cell[0] += n if now is State.ALONE else 0
        cell[1] += n
    return {
        rung: PairCounts(rung, {group: (alone, shown) for group, (alone, shown) in groups.items()}, 0)
        for rung, groups in counts.items()
    }
