"""Which doubles come next for somebody, and which of those she did shows most spin."""

from __future__ import annotations

from collections.abc import Collection

from loftbook.insight.margin import USUAL_TIME
from loftbook.insight.pace import pace
from loftbook.ladder.rungs import Ladder, Rung
from loftbook.ladder.scales import Direction, Help, Shape, TakeOff
from loftbook.mechanics.budget import TURNS_IN_THE_AIR


def next_rungs(ladder: Ladder, alone: Collection[str], set_aside: Collection[str] = ()) -> tuple[Rung, ...]:
    """The doubles backward without twist that she has not done alone: those that are tested, and the one after them.

    `alone` are the rungs that she met at any camp; `set_aside` what she declined, stopped or was not
    allowed, on which nothing is set.
    """
    found = []
    for rung in doubles(ladder):
        if rung.key in alone or rung.key in set_aside:
            continue
        if rung.tested or any(key in alone for key in rung.prerequisites):
            found.append(rung)
    return tuple(found)


def doubles(ladder: Ladder) -> tuple[Rung, ...]:
    """The ladder's double somersaults backward without twist, from the trampoline with nobody in, in ladder order."""
    return tuple(
        rung
        for rung in ladder.rungs
        if rung.skill is not None
        and rung.skill.quarters == 8
        and rung.skill.direction is Direction.BACKWARD
        and not any(rung.skill.half_twists)
        and TakeOff.TRAMPOLINE in rung.standard.take_offs
        and rung.standard.help is Help.NOBODY_IN
    )


def beyond(ladder: Ladder, alone: Collection[str], set_aside: Collection[str] = ()) -> tuple[Rung, ...]:
    """The other doubles to which one that she did leads on: twisting, in a belt, or from another surface."""
    known = {rung.key for rung in doubles(ladder)}
    return tuple(
        rung
        for rung in ladder.rungs
        if rung.skill is not None
        and rung.skill.quarters >= 7
        and rung.key not in known | set(alone) | set(set_aside)
        and any(key in alone and key in known for key in rung.prerequisites)
    )


def most_seen(ladder: Ladder, alone: Collection[str]) -> Rung | None:
    """Of the doubles that came round alone, the one that asks for most spin: so much she has at least."""
    done = [rung for rung in doubles(ladder) if rung.key in alone and rung.skill]
    return max(done, key=_asks, default=None)


def shape_of(rung: Rung) -> Shape:
    """The shape of a rung that is a somersault."""
    assert rung.skill is not None
    return rung.skill.shape


def _asks(rung: Rung) -> float:
    return pace(shape_of(rung), 12).momentum_for(TURNS_IN_THE_AIR, USUAL_TIME)
