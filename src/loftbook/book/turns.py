"""Which attempts are the same turn of a child, so that no turn counts twice.

Two things can make two attempts of one turn. A second rater marks the same turn on a
device of her own; both marks are kept, and the pair says how well raters agree. And
two people may correct the same attempt; both corrections are kept until the head
coach settles it.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from uuid import UUID

from loftbook.book.attempts import Attempt
from loftbook.ladder.scales import Outcome


@dataclass(frozen=True)
class Marking:
    """One turn that two people marked without seeing each other's mark."""

    first: Attempt
    second: Attempt


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
    firsts = {_turn(a) for a in rows if not a.second and a.turn is not None}
    kept = [a for a in rows if not (a.second and a.turn is not None and _turn(a) in firsts)]
    groups: dict[UUID, list[Attempt]] = {}
    for attempt in kept:
        groups.setdefault(root_of(attempt, roots), []).append(attempt)
    chosen = {min(group, key=_claim).id for group in groups.values()}
    return tuple(a for a in kept if a.id in chosen)


def markings(attempts: Iterable[Attempt]) -> tuple[Marking, ...]:
    """The turns in force that two raters marked, with both marks, oldest first.

    Where more than one first or second mark carries the same number of a turn it
    cannot be told which belong together, and there is no pair.

    >>> markings([])
    ()
    """
    rows = sorted(attempts, key=lambda a: (a.at, a.id))
    turns: dict[tuple[UUID, UUID, str, int], tuple[list[Attempt], list[Attempt]]] = {}
    for attempt in rows:
        if attempt.turn is not None:
            turns.setdefault(_turn(attempt), ([], []))[int(attempt.second)].append(attempt)
    return tuple(
        Marking(first[0], second[0])
        for first, second in turns.values()
        if len(first) == len(second) == 1 and first[0].rater != second[0].rater
    )


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
