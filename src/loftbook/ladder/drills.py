"""Which drills to send home for a rung and what the coach saw there."""

from __future__ import annotations

from collections.abc import Sequence

from loftbook.errors import UnknownThing
from loftbook.ladder.graph import before
from loftbook.ladder.rungs import Drill, Ladder


def drills_for(
    ladder: Ladder, rung_key: str, criteria: Sequence[str] = (), *, most: int = 3
) -> tuple[Drill, ...]:
    """Drills for home for one rung and the things to work on, the best match first.

    `criteria` are the keys of what needs work, the most important first; drills are
    chosen so that each is served before one is served twice. A drill made for the
    rung itself goes before one made for what leads to it; one that is made for
    neither is never given. Without criteria, the drills of the rung in file order.

    Raises
        UnknownThing for a rung or a criterion that the ladder does not have

    >>> from loftbook.ladder.shipped import shipped_ladder
    >>> drills = drills_for(shipped_ladder(), "double_tuck", ["lift"], most=1)
    >>> drills[0].criteria[0]
    'lift'
    """
    known = [criterion.key for criterion in ladder.criteria]
    for key in criteria:
        if key not in known:
            raise UnknownThing(
                f"a criterion called {key!r}", f"one of {', '.join(known)}", "use a criterion of the ladder"
            )
    leading = {rung.key for rung in before(ladder, rung_key)}
    rest = [
        drill
        for drill in ladder.drills
        if (rung_key in drill.rungs or leading & set(drill.rungs))
        and (not criteria or set(criteria) & set(drill.criteria))
    ]
    chosen: list[Drill] = []
    while rest and len(chosen) < most:
        served = {key for drill in chosen for key in drill.criteria}
        best = max(rest, key=lambda drill: _match(drill, rung_key, criteria, served))
        chosen.append(best)
        rest.remove(best)
    return tuple(chosen)


def _match(
    drill: Drill, rung_key: str, criteria: Sequence[str], served: set[str]
) -> tuple[int, bool, bool, int]:
    """How well a drill fits: the first open criterion it serves, made for the rung, mainly for that."""
    wanted = [place for place, key in enumerate(criteria) if key in drill.criteria]
    fresh = [place for place in wanted if criteria[place] not in served]
    first = min(fresh, default=len(criteria))
    mainly = bool(fresh) and drill.criteria[0] == criteria[first]
    return -first, rung_key in drill.rungs, mainly, len(wanted)
