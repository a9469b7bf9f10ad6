"""What leads to what: prerequisites, the way up, and rings that must not be.

The graph is there to be shown. It never refuses a mark: rungs are recorded
independently, and a gymnast who shows a rung before its prerequisite has shown it.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping
from itertools import islice

from loftbook.errors import LadderError
from loftbook.ladder.rungs import Ladder, Rung


def ring_in(leads: Mapping[str, Collection[str]]) -> tuple[str, ...]:
    """The first ring of prerequisites, its first key repeated at the end; empty when there is none.

    `leads` maps each key to what comes directly before it.

    >>> ring_in({"a": ["b"], "b": ["c"], "c": ["a"]})
    ('a', 'b', 'c', 'a')
    >>> ring_in({"a": ["b"], "b": []})
    ()
    """
    clear: set[str] = set()
    for start in leads:
        trail: list[str] = []
        branches: list[Iterator[str]] = [iter([start])]
        while branches:
            key = next(branches[-1], None)
            if key is None:
                branches.pop()
                if trail:
                    clear.add(trail.pop())
            elif key in trail:
                return (*trail[trail.index(key) :], key)
            elif key not in clear and key in leads:
                trail.append(key)
                branches.append(iter(leads[key]))
    return ()


def before(ladder: Ladder, key: str) -> tuple[Rung, ...]:
    """Everything that leads to a rung, directly or not, lowest first.

    Raises UnknownThing for a key that the ladder does not have.
    """
    wanted: set[str] = set()
    todo = list(ladder.rung(key).prerequisites)
    while todo:
        one = todo.pop()
        if one not in wanted:
            wanted.add(one)
            todo += ladder.rung(one).prerequisites
    return tuple(rung for rung in by_depth(ladder) if rung.key in wanted)


def after(ladder: Ladder, key: str) -> tuple[Rung, ...]:
    """The rungs that a rung leads to directly, in ladder order.

    Raises UnknownThing for a key that the ladder does not have.
    """
    ladder.rung(key)
    return tuple(rung for rung in ladder.rungs if key in rung.prerequisites)


def missing(ladder: Ladder, key: str, shown: Collection[str]) -> tuple[Rung, ...]:
    """What leads to a rung and was not shown, lowest first; an observation, not a refusal.

    `shown` holds the keys of rungs that were. What leads to a shown rung counts as
    open only if it was itself not shown: nothing is inferred.

    >>> from loftbook.ladder.shipped import shipped_ladder
    >>> shown = {rung.key for rung in shipped_ladder().rungs} - {"back_pike"}
    >>> [rung.key for rung in missing(shipped_ladder(), "double_pike", shown)]
    ['back_pike']
    """
    return tuple(rung for rung in before(ladder, key) if rung.key not in shown)


def depths(ladder: Ladder) -> dict[str, int]:
    """How many rungs stand below each one on its longest way up; 0 where nothing leads to it.

    Raises LadderError for a ring, which no ladder from `read_ladder` has.
    """
    ring = ring_in({rung.key: rung.prerequisites for rung in ladder.rungs})
    if ring:
        raise LadderError(
            f"a ring of prerequisites, {' → '.join(ring)}", "a way up", "take one of the prerequisites out"
        )
    found: dict[str, int] = {}
    todo = [rung.key for rung in reversed(ladder.rungs)]
    while todo:
        key = todo[-1]
        needed = ladder.rung(key).prerequisites
        waiting = [one for one in needed if one not in found]
        if waiting:
            todo += waiting
        else:
            found[key] = 1 + max((found[one] for one in needed), default=-1)
            todo.pop()
    return {rung.key: found[rung.key] for rung in ladder.rungs}


def by_depth(ladder: Ladder) -> tuple[Rung, ...]:
    """All rungs so that each stands after everything that leads to it; ladder order among equals."""
    depth = depths(ladder)
    return tuple(sorted(ladder.rungs, key=lambda rung: depth[rung.key]))


def ways_to(ladder: Ladder, key: str, *, most: int = 20) -> tuple[tuple[Rung, ...], ...]:
    """The ways up to a rung, each from a rung that nothing leads to; at most so many, first found first.

    Raises UnknownThing for a key that the ladder does not have.

    >>> from loftbook.ladder.shipped import shipped_ladder
    >>> [rung.key for rung in ways_to(shipped_ladder(), "back_tuck")[0]]
    ['straight_jumps', 'back_tuck']
    """
    return tuple(islice(_ways_down(ladder, ladder.rung(key)), most))


def _ways_down(ladder: Ladder, rung: Rung) -> Iterator[tuple[Rung, ...]]:
    if not rung.prerequisites:
        yield (rung,)
    for one in rung.prerequisites:
        for way in _ways_down(ladder, ladder.rung(one)):
            yield (*way, rung)
