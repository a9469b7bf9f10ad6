"""What leads to what: prerequisites, what stands below what, and rings that must not be.

The graph is there to be shown. It never refuses a mark: rungs are recorded
independently, and a gymnast who shows a rung before its prerequisite has shown it.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping

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
