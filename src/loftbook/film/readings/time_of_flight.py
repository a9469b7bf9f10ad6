"""How long she was in the air."""

from __future__ import annotations

from math import hypot, isfinite

from loftbook.film.measurement import FlightSeen
from loftbook.film.reading import Reading
from loftbook.film.readings.told import ends_seen, no_clock, number, silent, weaker
from loftbook.mechanics import Trust, Verdict

DOUBTFUL = 0.009  # s: beyond it the 8 ms that were asked for at 60 frames a second cannot be promised
QUARREL = 3.0


def time_of_flight(flight: FlightSeen) -> Reading:
    """Time from the last touch of the bed to the first of the landing.

    Units
        s

    Source
        contacts as in `film.contacts`
    """
    name, basis = "time of flight", f"{flight.leaves.how}; {flight.lands.how}"
    refused = no_clock(flight) or ends_seen(flight)
    if refused:
        return silent(name, "s", refused, basis)
    spread = duration_spread(flight)
    return number(
        name,
        flight.duration,
        "s",
        spread=spread,
        verdict=weaker(_verdict(flight, spread), flight.judged.path),
        basis=basis,
    )


def duration_spread(flight: FlightSeen) -> float:
    """One standard deviation of the time in the air, s."""
    return hypot(flight.leaves.spread, flight.lands.spread)


def _verdict(flight: FlightSeen, spread: float) -> Verdict:
    for contact, own in (
        (flight.leaves, flight.fall.leaves_spread),
        (flight.lands, flight.fall.lands_spread),
    ):
        allowed = QUARREL * (contact.spread + (own if isfinite(own) else 0.0)) + 0.01
        if abs(contact.quarrel) > allowed:
            return Verdict(
                Trust.DOUBTFUL,
                f"The feet pass the line {1000 * abs(contact.quarrel):.0f} ms away from where the push of the bed "
                "says: look whether the line lies on the surface.",
            )
    if flight.lines_disagree:
        return Verdict(
            Trust.DOUBTFUL,
            f"A line found in the picture lies elsewhere than the push of the bed says, which is known to "
            f"{1000 * spread:.0f} ms: draw the line of the bed.",
        )
    if spread > DOUBTFUL:
        return Verdict(Trust.DOUBTFUL, f"Known to {1000 * spread:.0f} ms only; draw the line of the bed.")
    return Verdict(Trust.GOOD, "Both ends are in the film.")
