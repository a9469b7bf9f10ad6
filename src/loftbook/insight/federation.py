"""A whole federation in counts: where everybody stands, and how it went over the years. Nobody is named.

Two ways to count, never mixed: `now` has each gymnast once, at the last camp she
attended; `years` has each gymnast at each camp, so one who came twice in a year is
counted twice there. An interval is told for the first alone: the visits of one
gymnast are no independent tries.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from loftbook.insight.standing import State
from loftbook.insight.wilson import Interval, wilson
from loftbook.ladder.rungs import Ladder


@dataclass(frozen=True)
class RungNow:
    """One rung, each gymnast once: how she stood at the last camp that she attended."""

    rung: str
    alone: int
    helped: int
    tried: int
    blank: int

    @property
    def shown(self) -> int:
        """How many showed it: the denominator."""
        return self.alone + self.helped + self.tried

    @property
    def share(self) -> Interval:
        """Alone among those who showed it, as a 95 % interval."""
        return wilson(self.alone, self.shown)

    @property
    def sentence(self) -> str:
        """The count with its denominator and interval."""
        if not self.shown:
            return f"Nobody showed it at her last camp ({self.blank} blank)."
        return (
            f"{self.alone} of the {self.shown} who showed it at their last camp did it alone (95 % interval "
            f"{self.share.words}); {self.helped} with help, {self.tried} tried."
        )


@dataclass(frozen=True)
class RungOfYear:
    """One rung in one year, each gymnast at each camp: how many showed it, how many alone."""

    year: int
    rung: str
    alone: int
    shown: int


@dataclass(frozen=True)
class FederationInventory:
    """All camps together, in counts."""

    camps: int
    gymnasts: int  # who attended one at least
    now: tuple[RungNow, ...]  # in the order of the ladder; what the ladder does not know comes last
    years: tuple[RungOfYear, ...]  # the earliest first, then as above


def federation_inventory(
    ladder: Ladder,
    *,
    camps: int,
    gymnasts: int,
    now: Mapping[str, Mapping[State, int]],
    years: Iterable[RungOfYear],
) -> FederationInventory:
    """Lays counts out in the order of the ladder.

    >>> from loftbook.ladder.shipped import shipped_ladder
    >>> counts = {"double_tuck": {State.ALONE: 3, State.HELPED: 1, State.NOT_TRIED: 2}}
    >>> made = federation_inventory(shipped_ladder(), camps=1, gymnasts=6, now=counts, years=())
    >>> print(made.now[0].sentence)
    3 of the 4 who showed it at their last camp did it alone (95 % interval 30 to 95 %); 1 with help, 0 tried.
    """
    place = {rung.key: number for number, rung in enumerate(ladder.rungs)}

    def order(rung: str) -> tuple[int, str]:
        return place.get(rung, len(place)), rung

    return FederationInventory(
        camps,
        gymnasts,
        tuple(_now(rung, now[rung]) for rung in sorted(now, key=order)),
        tuple(sorted(years, key=lambda one: (one.year, order(one.rung)))),
    )


def _now(rung: str, states: Mapping[State, int]) -> RungNow:
    return RungNow(
        rung,
        alone=states.get(State.ALONE, 0),
        helped=states.get(State.HELPED, 0),
        tried=states.get(State.TRIED, 0),
        blank=sum(count for state, count in states.items() if state.is_blank),
    )
