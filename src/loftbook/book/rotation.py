"""Which automatic backups are kept: days, then weeks, then months.

Source: common practice of rotating backups, no source for the numbers.
"""

from __future__ import annotations

from collections.abc import Callable, Collection
from dataclasses import dataclass
from datetime import datetime, timedelta

#: How long after the last one a backup is due: once a day, with room for a laptop that starts a little earlier.
DUE = timedelta(hours=20)


@dataclass(frozen=True)
class Rotation:
    """How many of the latest days, weeks and months keep their last backup."""

    days: int = 7
    weeks: int = 5
    months: int = 12

    @property
    def words(self) -> str:
        """What a coach reads."""
        return (
            f"the last of each of {self.days} days, {self.weeks} weeks and {self.months} months with a backup"
        )


def to_keep(made: Collection[datetime], rotation: Rotation | None = None) -> frozenset[datetime]:
    """Of the moments at which backups were made, those that stay: the last of each day, week and month, up to a number.

    The newest always stays. Days without a backup do not count, so a laptop that was shut for months loses nothing.

    >>> from datetime import UTC
    >>> every = [datetime(2026, 3, 1, tzinfo=UTC) + timedelta(hours=12 * n) for n in range(62)]
    >>> sorted({one.day for one in to_keep(every, Rotation(days=3, weeks=2, months=0))})
    [29, 30, 31]
    """
    rotation = rotation or Rotation()
    periods: tuple[tuple[int, Callable[[datetime], object]], ...] = (
        (max(1, rotation.days), lambda at: at.date()),
        (rotation.weeks, lambda at: at.isocalendar()[:2]),
        (rotation.months, lambda at: (at.year, at.month)),
    )
    kept: set[datetime] = set()
    for count, period in periods:
        last: dict[object, datetime] = {}
        for at in sorted(made, reverse=True):
            last.setdefault(period(at), at)
        kept |= set(list(last.values())[:count])
    return frozenset(kept)


def is_due(made: Collection[datetime], now: datetime) -> bool:
    """Whether a backup is due. One from the future (a clock that was wrong) does not count."""
    return not any(now - DUE < at <= now for at in made)
