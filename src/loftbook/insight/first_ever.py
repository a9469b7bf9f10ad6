"""When each gymnast first did each rung alone, or as the rung asks."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from uuid import UUID

from loftbook.book.people import Camp
from loftbook.insight.history import History, camps_before
from loftbook.insight.standing import Standing, State


@dataclass(frozen=True)
class FirstTime:
    """The first camp of the book at which she did a rung alone, and the day.

    `on` is the day of the turn where it lies within the camp, else the camp's first day.
    `words` says how: "alone", or as the rung asks and with which help.
    """

    camp: UUID
    on: date
    words: str = State.ALONE.words


def first_ever(history: History, *, until: UUID | None = None) -> Mapping[UUID, Mapping[str, FirstTime]]:
    """When each gymnast first did each rung alone, by athlete and rung.

    `until` is the last camp to look at; without it the whole history. A time that
    does not lie within the camp (a list typed in later, a device with a wrong clock)
    is not believed: then the camp's first day stands. It says nothing about what she
    did at home. Raises `UnknownThing` when `until` is not in the history.

    >>> from loftbook.insight.history import history_of
    >>> first_ever(history_of([], []))
    {}
    """
    camps = history.camps
    if until is not None:
        camps = camps[: len(camps_before(history, until)) + 1]
    found: dict[UUID, dict[str, FirstTime]] = {}
    for athlete in history.records:
        hers = found.setdefault(athlete, {})
        for camp in camps:
            for key, one in history.at(athlete, camp.id).items():
                if one.state is State.ALONE and key not in hers:
                    hers[key] = FirstTime(camp.id, _day(one, camp), one.words)
    return found


def _day(one: Standing, camp: Camp) -> date:
    day = one.first_at.date() if one.first_at else camp.starts
    return day if camp.contains(day) else camp.starts
