"""When something was seen, told by a device whose clock may be wrong.

The device's own time is always kept beside the one that is used.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import UTC, date, datetime, time, timedelta

#: A clock that is off by less is left alone. Common practice, no source.
TOLERATED = timedelta(seconds=90)
_A_DAY = timedelta(days=1)


@dataclass(frozen=True)
class Skew:
    """How far a device's clock is behind the laptop's (negative: ahead), and a sentence if it matters."""

    behind: timedelta | None  # None: not known, as with a file
    why: str = ""

    @property
    def shift(self) -> timedelta:
        """What is added to the device's times."""
        return self.behind if self.behind is not None and abs(self.behind) > TOLERATED else timedelta()


def skew_of(sent_at: datetime | None, received: datetime) -> Skew:
    """What the moment of sending says of a device's clock.

    >>> from datetime import UTC
    >>> skew_of(datetime(2026, 4, 11, 6, tzinfo=UTC), datetime(2026, 4, 11, 9, tzinfo=UTC)).why
    'The clock of this device is 3 hours behind; times are put right here. Set it when there is a moment.'
    """
    if sent_at is None:
        return Skew(None)
    behind = received - sent_at
    if abs(behind) <= TOLERATED:
        return Skew(behind)
    way = "behind" if behind > timedelta() else "ahead"
    return Skew(
        behind,
        f"The clock of this device is {_long(abs(behind))} {way}; times are put right here. "
        "Set it when there is a moment.",
    )


def seen_at(said: datetime, skew: Skew, *, received: datetime, first_day: date) -> tuple[datetime, str]:
    """When it was seen, as far as can be told, and what was done to the device's time.

    The time that the device said, shifted by what is known of its clock. Where that
    lies before the camp or after it was received, the clock was set in between, and
    the time of receiving stands.
    """
    try:
        moment = said + skew.shift
    except OverflowError:
        moment = received + _A_DAY
    earliest = datetime.combine(first_day, time(), tzinfo=UTC) - _A_DAY
    if moment > received + TOLERATED or moment < min(earliest, received - _A_DAY):
        return received, f"the device said {said.isoformat()}; the time of receiving stands"
    if skew.shift:
        return moment, f"the device said {said.isoformat()}; shifted by {skew.shift.total_seconds():.0f} s"
    return moment, ""


def _long(span: timedelta) -> str:
    for name, size in (("day", 86400), ("hour", 3600), ("minute", 60)):
        number = round(span.total_seconds() / size)
        if number >= 1:
            return f"{number} {name}{'s' if number > 1 else ''}"
    return "some seconds"
