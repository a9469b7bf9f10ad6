"""What every gymnast showed at every camp, camps in order: where comparisons look things up."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from types import MappingProxyType
from uuid import UUID

from loftbook.book.people import Camp
from loftbook.errors import AmbiguousThing, UnknownThing
from loftbook.insight.standing import Standing

_NOTHING: Mapping[str, Standing] = MappingProxyType({})


@dataclass(frozen=True)
class History:
    """Camps in order, and the standings by athlete, camp and rung. `history_of` makes it."""

    camps: tuple[Camp, ...]
    records: Mapping[UUID, Mapping[UUID, Mapping[str, Standing]]]

    def at(self, athlete: UUID, camp: UUID) -> Mapping[str, Standing]:
        """Her standings at one camp, by rung; empty where nothing was written."""
        return self.records.get(athlete, {}).get(camp, _NOTHING)


def history_of(camps: Iterable[Camp], standings: Iterable[Standing]) -> History:
    """All camps in order of their days, with all that was shown at them.

    Raises `UnknownThing` for a standing of a camp that is not given, and
    `AmbiguousThing` for two standings of one gymnast, camp and rung.

    >>> history_of([], []).camps
    ()
    """
    ordered = tuple(sorted(camps, key=lambda camp: camp.place_in_time))
    known = {camp.id for camp in ordered}
    records: dict[UUID, dict[UUID, dict[str, Standing]]] = {}
    athlete = camp = None  # whose rows these are; those of one visit mostly come together
    rungs: dict[str, Standing] = {}
    for one in standings:
        if one.athlete is not athlete or one.camp is not camp:
            if one.camp not in known:
                raise UnknownThing(
                    f"a standing of camp {one.camp}",
                    "one of the camps given",
                    "give all camps of the standings",
                )
            athlete, camp = one.athlete, one.camp
            rungs = records.setdefault(athlete, {}).setdefault(camp, {})
        if one.rung in rungs:
            raise AmbiguousThing(
                f"two standings of one gymnast on {one.rung} at one camp", "one", "work it out again"
            )
        rungs[one.rung] = one
    return History(ordered, records)


def attended(history: History, athlete: UUID, camp: UUID) -> bool:
    """Whether she was at a camp, as far as the book says.

    Being there with nothing shown (not allowed today, stopped, declined) is being
    there. Absent on every rung, or nothing written on any, is not.
    """
    return _was_there(history.at(athlete, camp))


def visits_before(
    history: History, athlete: UUID, camp: UUID
) -> tuple[tuple[Camp, Mapping[str, Standing]], ...]:
    """The camps before this one at which she was, in order, each with her standings by rung.

    Raises `UnknownThing` when the camp is not in the history.
    """
    hers = history.records.get(athlete, {})
    held = ((one, hers.get(one.id, _NOTHING)) for one in camps_before(history, camp))
    return tuple((one, written) for one, written in held if _was_there(written))


def _was_there(written: Mapping[str, Standing]) -> bool:
    return any(not one.state.is_away for one in written.values())


def attended_before(history: History, athlete: UUID, camp: UUID) -> tuple[Camp, ...]:
    """The camps before this one at which she was, in order.

    Raises `UnknownThing` when the camp is not in the history.
    """
    return tuple(one for one, _ in visits_before(history, athlete, camp))


def camps_before(history: History, camp: UUID) -> tuple[Camp, ...]:
    """All camps before this one, in order; `UnknownThing` when it is not in the history."""
    for place, one in enumerate(history.camps):
        if one.id == camp:
            return history.camps[:place]
    raise UnknownThing(f"a camp {camp} that is not in the history", "one of its camps", "give this camp too")
