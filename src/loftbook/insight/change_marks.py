"""What became of a gymnast's marks since an earlier camp, and whether that is more than marking alone makes.

Two people mark the same turn differently, and one person does on another day. A mark
that moved by no more than that has not been shown to have moved: it is never called
progress, and never a loss. How much that is comes from turns that were marked twice;
before there are enough of them no move is told.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from enum import Enum
from statistics import median_low

from loftbook.book.attempts import Attempt
from loftbook.insight.agreement.error import MarkError, MarkErrors
from loftbook.ladder.rungs import Ladder


class Move(Enum):
    """What may be said of a mark that is compared with an earlier one; the value is what a coach reads."""

    SAME = "the same"
    MORE_THAN_MARKING = "more than marking alone makes"
    WITHIN_MARKING = "no more than marking alone makes"
    CANNOT_TELL = "cannot tell"


@dataclass(frozen=True)
class MarkMove:
    """One criterion on one rung: the mark then and now, and what may be said of the two."""

    rung: str
    criterion: str
    then: int
    now: int
    move: Move
    why: str = ""

    @property
    def sentence(self) -> str:
        """Then, now and the verdict in one line.

        >>> MarkMove("double_tuck", "form", 1, 2, Move.WITHIN_MARKING).sentence
        '1 then, 2 now: no more than marking alone makes'
        """
        told = f"{self.move.value} ({self.why})" if self.why else self.move.value
        return f"{self.then} then, {self.now} now: {told}"


def mark_moves(
    then: Sequence[Attempt], now: Sequence[Attempt], ladder: Ladder, *, errors: MarkErrors
) -> tuple[MarkMove, ...]:
    """Her marks on one rung at two camps, criterion by criterion, in the order of the ladder.

    Of several turns at a camp the middle mark is taken, the lower of two. The error is
    that of a single mark, so with several turns it asks for rather too much. Marks by
    two editions of the ladder are not compared.

    >>> from loftbook.ladder.shipped import shipped_ladder
    >>> mark_moves([], [], shipped_ladder(), errors=MarkErrors())
    ()
    """
    found = []
    for criterion in ladder.criteria:
        old, new = _marked(then, criterion.key), _marked(now, criterion.key)
        if old and new:
            found.append(_move(criterion.key, old, new, errors))
    return tuple(found)


def _marked(turns: Iterable[Attempt], key: str) -> list[Attempt]:
    return [turn for turn in turns if key in turn.marks]


def _move(key: str, old: list[Attempt], new: list[Attempt], errors: MarkErrors) -> MarkMove:
    before, today = (median_low(turn.marks[key] for turn in turns) for turns in (old, new))
    error = errors.between(key, [a.rater for a in old], [a.rater for a in new])
    move, why = _verdict(abs(today - before), error)
    if len({a.edition for a in (*old, *new)}) > 1:
        move, why = Move.CANNOT_TELL, "marked by another edition of the ladder"
    return MarkMove(new[0].rung, key, before, today, move, why)


def _verdict(levels: int, error: MarkError | None) -> tuple[Move, str]:
    if levels == 0:
        return Move.SAME, ""
    if error is not None and error.told_from is not None and levels >= error.told_from:
        return Move.MORE_THAN_MARKING, ""
    if error is None or not error.enough:
        return Move.CANNOT_TELL, "too few turns were marked twice to know how exactly a mark repeats"
    return Move.WITHIN_MARKING, ""
