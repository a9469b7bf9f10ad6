"""From each camp to the next: counts of who was alone, by where she stood at the camp before.

A gymnast who had a rung at the last camp mostly has it again; one who tried it may
have it or not. So both the past and today are counted in the same groups: alone, with
help, tried, not shown at the camp before, at her first camp. Whose later half is blank
is left out, in the past as today: a blank is no failure.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from enum import Enum
from uuid import UUID

from loftbook.book.people import Athlete, Camp
from loftbook.insight.history import History, attended, attended_before, camps_before
from loftbook.insight.standing import Standing, State


class Before(Enum):
    """Where she stood on the rung at the last camp that she attended."""

    ALONE = "alone"
    HELPED = "helped"
    TRIED = "tried"
    NOT_SHOWN = "not_shown"
    FIRST_CAMP = "first_camp"  # she had attended none

    @property
    def words(self) -> str:
        """What a coach reads, after "those who were"."""
        return _WORDS[self]


_WORDS = {
    Before.ALONE: "alone at the camp before",
    Before.HELPED: "with help at the camp before",
    Before.TRIED: "trying at the camp before",
    Before.NOT_SHOWN: "not showing it at the camp before",
    Before.FIRST_CAMP: "at their first camp",
}


@dataclass(frozen=True)
class PairCounts:
    """What earlier camps say of one rung: by group, (alone at the next camp, shown at it).

    `camps` is how many earlier camps the later halves of the pairs come from. A first
    camp counts as a pair with nothing before it.
    """

    rung: str
    counts: Mapping[Before, tuple[int, int]]
    camps: int = 0


@dataclass(frozen=True)
class Today:
    """Who showed a rung at the camp in hand: how many of each group, and how many alone."""

    rung: str
    groups: Mapping[Before, int]
    alone: int


def group_of(then: Standing | None) -> Before:
    """The group of a gymnast who was at a camp before, by her standing there.

    >>> group_of(None)
    <Before.NOT_SHOWN: 'not_shown'>
    """
    if then is None or then.state.is_blank:
        return Before.NOT_SHOWN
    return Before(then.state.value)


def pair_counts(history: History, *, before: UUID) -> Mapping[str, PairCounts]:
    """The counts of all camps before this one, by rung.

    For each gymnast and each earlier camp at which she showed the rung, her group is
    where she stood on it at the last camp that she had attended until then. Raises
    `UnknownThing` when the camp is not in the history.
    """
    counts: dict[str, dict[Before, list[int]]] = {}
    camps: dict[str, set[UUID]] = {}
    earlier = camps_before(history, before)
    for athlete in history.records:
        for group, now in _pairs(history, athlete, earlier):
            tally = counts.setdefault(now.rung, {}).setdefault(group, [0, 0])
            tally[0] += now.state is State.ALONE
            tally[1] += 1
            camps.setdefault(now.rung, set()).add(now.camp)
    return {
        rung: PairCounts(rung, {group: (a, n) for group, (a, n) in tallies.items()}, len(camps[rung]))
        for rung, tallies in counts.items()
    }


def today_counts(camp: Camp, *, athletes: Iterable[Athlete], history: History) -> Mapping[str, Today]:
    """Who showed each rung at this camp, by where each stood on it at the camp before.

    Only rungs that somebody showed. Raises `UnknownThing` when the camp is not in the
    history.
    """
    groups: dict[str, dict[Before, int]] = {}
    alone: dict[str, int] = {}
    for athlete in athletes:
        earlier = attended_before(history, athlete.id, camp.id)[-1:]
        for group, now in _pairs(history, athlete.id, (*earlier, camp)):
            if now.camp != camp.id:
                continue
            tally = groups.setdefault(now.rung, {})
            tally[group] = tally.get(group, 0) + 1
            alone[now.rung] = alone.get(now.rung, 0) + (now.state is State.ALONE)
    return {rung: Today(rung, tally, alone[rung]) for rung, tally in groups.items()}


def _pairs(history: History, athlete: UUID, camps: Sequence[Camp]) -> Iterator[tuple[Before, Standing]]:
    """Each showing at these camps with the group that she came from."""
    then: Mapping[str, Standing] | None = None
    for camp in camps:
        if not attended(history, athlete, camp.id):
            continue
        now = history.at(athlete, camp.id)
        for rung, one in now.items():
            if not one.state.is_blank:
                yield (Before.FIRST_CAMP if then is None else group_of(then.get(rung))), one
        then = now
