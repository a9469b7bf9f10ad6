"""Changes as they are told on a page, on paper and in a terminal: by one rule.

Whoever shows nothing of a rung now can be told nothing of: these are folded into one
line for each blank, with the count. The rest is listed by kind.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from uuid import UUID

from loftbook.insight.change import Change, ChangeKind, by_kind
from loftbook.insight.standing import State


@dataclass(frozen=True)
class BlankNow:
    """One blank and whose it is now; on which rungs, where it is not all that she was asked."""

    state: State
    rungs: Mapping[UUID, tuple[str, ...]]  # by gymnast; empty where it is every rung of hers

    @property
    def words(self) -> str:
        """The blank and how many.

        >>> BlankNow(State.ABSENT, {UUID(int=1): ()}).words
        'absent, 1 gymnast'
        """
        count = len(self.rungs)
        return f"{self.state.words}, {count} gymnast{'' if count == 1 else 's'}"


@dataclass(frozen=True)
class ChangesTold:
    """What is listed, by kind and all kinds present, and the blanks that are folded."""

    kinds: Mapping[ChangeKind, tuple[Change, ...]]
    blanks: tuple[BlankNow, ...]


def told(found: Iterable[Change]) -> ChangesTold:
    """The changes of a camp, what is blank now apart; each stands in exactly one place.

    >>> told([]).blanks
    ()
    """
    every = tuple(found)
    asked = Counter(one.athlete for one in every)
    blanks: dict[State, dict[UUID, list[str]]] = {state: {} for state in State if state.is_blank}
    for one in every:
        if one.now.state.is_blank:
            blanks[one.now.state].setdefault(one.athlete, []).append(one.rung)
    return ChangesTold(
        by_kind(one for one in every if not one.now.state.is_blank),
        tuple(
            BlankNow(
                state, {who: () if len(keys) == asked[who] else tuple(keys) for who, keys in whose.items()}
            )
            for state, whose in blanks.items()
            if whose
        ),
    )
