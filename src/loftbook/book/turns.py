"""Which attempts are the same turn of a child, so that no turn counts twice.

Three things can make two attempts of one turn. A second rater marks the same turn on a
device of her own; both marks are kept, and the pair says how well raters agree. The same
rater marks it again later, from a clip, without seeing the first mark; that is written as
a second rater's mark is, and tells drift from change. And two people may correct the same
attempt; both corrections are kept until the head coach settles it.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import timedelta
from uuid import UUID

from loftbook.book.attempts import Attempt
from loftbook.ladder.scales import Outcome

#: A mark by the same rater so long after the first is a mark from a clip, no slip of a second device.
#: Long enough to have forgotten the first: common practice, no source.
FORGOTTEN = timedelta(days=7)


@dataclass(frozen=True)
class Marking:
    """One turn that two people marked without seeing each other's mark."""

    first: Attempt
    second: Attempt


@dataclass(frozen=True)
class Remarking:
    """One turn that the same person marked twice, the second time long after the first."""

    earlier: Attempt
    later: Attempt


def counted(attempts: Iterable[Attempt], roots: Mapping[UUID, UUID] | None = None) -> tuple[Attempt, ...]:
    """The attempts in force, one for each turn, oldest first.

    A second rater's mark counts only while the first rater's mark of that turn is not
    in the book. Of corrections that nobody has settled the one that claims least
    counts, so that a doubt never makes a child look more able than she was seen.

    `roots` says for an attempt which one it goes back to over all corrections; without
    it the attempt it replaces is taken.

    >>> counted([])
    ()
    """
    rows = sorted(attempts, key=lambda a: (a.at, a.id))
    if not any(a.second or a.replaces for a in rows):
        return tuple(rows)
    firsts = {_turn(a) for a in rows if not a.second and a.turn is not None}
    kept = [a for a in rows if not (a.second and a.turn is not None and _turn(a) in firsts)]
    groups: dict[UUID, list[Attempt]] = {}
    for attempt in kept:
        groups.setdefault(root_of(attempt, roots), []).append(attempt)
    chosen = {min(group, key=_claim).id for group in groups.values()}
    return tuple(a for a in kept if a.id in chosen)


def markings(attempts: Iterable[Attempt]) -> tuple[Marking, ...]:
    """The turns in force that two raters marked, with both marks, oldest first.

    Where it cannot be told which marks belong together, as in `marked_together`, there
    is no pair.

    >>> markings([])
    ()
    """
    return tuple(Marking(*marks) for marks in marked_together(attempts) if len(marks) == 2)


def marked_together(attempts: Iterable[Attempt]) -> tuple[tuple[Attempt, ...], ...]:
    """The turns in force that two raters or more marked: the first rater's mark, then the others' by name.

    Where two first raters gave the same number of a turn it cannot be told which marks
    belong together, and the turn is left out. So is whoever gave two marks of one turn
    within a week. Of one who marked it again later the first mark is taken.

    >>> marked_together([])
    ()
    """
    found = []
    for by_rater in _by_turn(attempts):
        own = [mark for rows in by_rater.values() if (mark := _only_one(rows)) is not None]
        firsts = [rows for rows in by_rater.values() if not all(a.second for a in rows)]
        first = _only_one(firsts[0]) if len(firsts) == 1 else None
        if first is not None and len(own) > 1:
            found.append((first, *sorted((a for a in own if a is not first), key=lambda a: (a.rater, a.id))))
    return tuple(sorted(found, key=lambda marks: (marks[0].at, marks[0].id)))


def remarkings(attempts: Iterable[Attempt]) -> tuple[Remarking, ...]:
    """The turns in force that the same rater marked again a week or more later, by the rater's name.

    Of several later marks the first is taken. Such a mark is written with the number of
    the turn and as a second rater's, so that it never counts as another turn.

    >>> remarkings([])
    ()
    """
    found = []
    for by_rater in _by_turn(attempts):
        for rows in by_rater.values():
            own = _only_one(rows)
            later = [a for a in rows if own is not None and a.second and a.at - own.at >= FORGOTTEN]
            if own is not None and later:
                found.append(Remarking(own, later[0]))
    return tuple(sorted(found, key=lambda pair: (pair.earlier.rater, pair.earlier.at, pair.earlier.id)))


def _by_turn(attempts: Iterable[Attempt]) -> Iterable[Mapping[str, list[Attempt]]]:
    """The marks of each numbered turn, by who gave them, oldest first."""
    turns: dict[tuple[UUID, UUID, str, int], dict[str, list[Attempt]]] = {}
    for attempt in sorted(attempts, key=lambda a: (a.at, a.id)):
        if attempt.turn is not None:
            turns.setdefault(_turn(attempt), {}).setdefault(attempt.rater, []).append(attempt)
    return turns.values()


def _only_one(rows: list[Attempt]) -> Attempt | None:
    """The first mark of one rater; None where another came within a week, so that it cannot be told which is meant."""
    doubled = len(rows) > 1 and rows[1].at - rows[0].at < FORGOTTEN
    return None if doubled else rows[0]


def root_of(attempt: Attempt, roots: Mapping[UUID, UUID] | None = None) -> UUID:
    """The attempt that this one goes back to over all corrections; itself, if it corrects none."""
    if roots and attempt.id in roots:
        return roots[attempt.id]
    return attempt.replaces or attempt.id


def _turn(attempt: Attempt) -> tuple[UUID, UUID, str, int]:
    return (attempt.camp, attempt.athlete, attempt.rung, attempt.turn or 0)


def _claim(attempt: Attempt) -> tuple[int, int, int, str]:
    """Smaller where less is claimed: nothing shown, tried, done with help, done alone."""
    shown = 2 if attempt.outcome is Outcome.DID_IT else 1 if attempt.outcome is Outcome.TRIED else 0
    return (shown, int(attempt.help or 0), -int(attempt.landing is None), str(attempt.id))
