"""What film has measured of somebody's doubles, as plain numbers: from here on nothing knows of clips."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from math import sqrt
from statistics import fmean

from loftbook.ladder.scales import Shape


@dataclass(frozen=True)
class Measured:
    """One or more filmed flights of one kind, taken together.

    Units
        flight_time : s; momentum : m²/s per kilogram, backward positive, None where no film could tell
        each with its standard uncertainty; shape : in which it was turned; flights : how many; on : the latest day
    """

    flight_time: float
    flight_time_off: float
    momentum: float | None = None
    momentum_off: float = 0.0
    shape: Shape | None = None
    flights: int = 1
    on: date | None = None

    @property
    def words(self) -> str:
        """How many flights and when, as in "2 filmed flights"."""
        return "one filmed flight" if self.flights == 1 else f"{self.flights} filmed flights"


def together(flights: Sequence[Measured]) -> Measured | None:
    """Several filmed flights as one: the mean, and its uncertainty from the flights' own and from how they differ.

    >>> two = together([Measured(1.40, 0.01), Measured(1.44, 0.01)])
    >>> round(two.flight_time, 2), two.flights, two.flight_time_off > 0.01
    (1.42, 2, True)
    """
    if not flights:
        return None
    time, time_off = _mean([f.flight_time for f in flights], [f.flight_time_off for f in flights])
    told = [f for f in flights if f.momentum is not None]
    momentum, momentum_off = _mean([f.momentum or 0.0 for f in told], [f.momentum_off for f in told])
    days = [f.on for f in flights if f.on is not None]
    shapes = {f.shape for f in flights}
    return Measured(
        flight_time=time,
        flight_time_off=time_off,
        momentum=momentum if told else None,
        momentum_off=momentum_off,
        shape=shapes.pop() if len(shapes) == 1 else None,
        flights=sum(f.flights for f in flights),
        on=max(days) if days else None,
    )


def _mean(values: Sequence[float], offs: Sequence[float]) -> tuple[float, float]:
    """Mean, and the standard uncertainty of the next flight: model and reading do not shrink with their number."""
    if not values:
        return 0.0, 0.0
    middle = fmean(values)
    spread = sqrt(sum((v - middle) ** 2 for v in values) / (len(values) - 1)) if len(values) > 1 else 0.0
    return middle, sqrt(fmean([o * o for o in offs]) + spread**2)
