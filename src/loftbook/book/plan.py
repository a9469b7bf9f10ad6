"""The plan of a camp's day: stations, groups, the order, and how long it will take."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime, time
from uuid import UUID

#: Seconds for one turn with its entry, and between two children. Common practice, no source.
SECONDS_A_TURN, SECONDS_BETWEEN = 45, 15


@dataclass(frozen=True)
class Station:
    """A bed and what lies behind it, and who runs it."""

    name: str
    what: str = ""
    who: str = ""


@dataclass(frozen=True)
class Group:
    """Children who go together, in their order."""

    name: str
    athletes: tuple[UUID, ...]


@dataclass(frozen=True)
class Plan:
    """A day: where, who with whom, how many turns, from when to when."""

    stations: tuple[Station, ...] = ()
    groups: tuple[Group, ...] = ()
    turns: int = 3  # on each rung
    seconds_a_turn: int = SECONDS_A_TURN
    seconds_between: int = SECONDS_BETWEEN
    starts: time | None = None
    ends: time | None = None


@dataclass(frozen=True)
class Lasting:
    """How long it takes, with the arithmetic in words, and a warning where the day is too short."""

    minutes: float
    arithmetic: str
    available: float | None = None  # minutes between start and end
    warning: str = ""


def running_order(plan: Plan, athletes: Iterable[UUID]) -> tuple[UUID, ...]:
    """Everybody once: by groups and their order, then those whom no group names."""
    there = tuple(dict.fromkeys(athletes))
    known = set(there)
    planned = dict.fromkeys(who for group in plan.groups for who in group.athletes if who in known)
    return tuple(dict.fromkeys([*planned, *there]))


def lasting(plan: Plan, *, children: int, rungs: int) -> Lasting:
    """How long so many children take for so many rungs at the plan's stations.

    >>> lasting(Plan(turns=3, seconds_a_turn=30, seconds_between=0), children=24, rungs=3).arithmetic
    '24 children × 3 rungs × 3 turns × 30 s = 6480 s = 108 min'
    >>> lasting(Plan(starts=time(9), ends=time(10), turns=3), children=24, rungs=3).warning
    'The day is too short: it takes 180 min and there are 60 min. Fewer turns, one more station, or more time.'
    """
    stations = max(1, len(plan.stations))
    turns = children * rungs * plan.turns
    seconds = turns * plan.seconds_a_turn + children * rungs * plan.seconds_between
    minutes = seconds / 60 / stations
    words = f"{children} children × {rungs} rungs × {plan.turns} turns × {plan.seconds_a_turn} s"
    if plan.seconds_between:
        words += f" + {children} × {rungs} changes × {plan.seconds_between} s"
    words += f" = {seconds} s"
    words += f", over {stations} stations" if stations > 1 else ""
    words += f" = {round(minutes)} min"
    available = _between(plan.starts, plan.ends)
    warning = ""
    if available is not None and minutes > available:
        warning = (
            f"The day is too short: it takes {round(minutes)} min and there are {round(available)} min. "
            "Fewer turns, one more station, or more time."
        )
    return Lasting(minutes, words, available, warning)


def _between(starts: time | None, ends: time | None) -> float | None:
    if starts is None or ends is None:
        return None
    day = datetime(2000, 1, 1)  # noqa: DTZ001  only the difference counts
    return (datetime.combine(day, ends) - datetime.combine(day, starts)).total_seconds() / 60


def shown_names(people: Sequence[tuple[UUID, str, str]]) -> dict[UUID, str]:
    """First names; where two share one, as many letters of the family name as tell them apart.

    `people` are (id, given name, family name). Two with the same whole name get a number.

    >>> a, b, c = UUID(int=1), UUID(int=2), UUID(int=3)
    >>> list(shown_names([(a, "Mira", "Stone"), (b, "Mira", "Sturm"), (c, "Ana", "Ives")]).values())
    ['Mira Sto', 'Mira Stu', 'Ana']
    """
    shown: dict[UUID, str] = {}
    for who, given, family in people:
        others = [f for other, g, f in people if other != who and g.casefold() == given.casefold()]
        shown[who] = given if not others else f"{given} {_letters(family, others)}".strip()
    seen: dict[str, int] = {}
    for who, name in shown.items():
        seen[name] = seen.get(name, 0) + 1
        shown[who] = name if seen[name] == 1 else f"{name} ({seen[name]})"
    return shown


def _letters(family: str, others: Collection[str]) -> str:
    for length in range(1, len(family) + 1):
        start = family[:length].casefold()
        if not any(other[:length].casefold() == start for other in others):
            return family[:length]
    return family
