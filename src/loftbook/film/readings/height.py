"""How high her mass centre rose above where it left."""

from __future__ import annotations

from math import hypot

from loftbook.film.measurement import FlightSeen
from loftbook.film.reading import Reading
from loftbook.film.readings.told import no_clock, number, silent, weaker
from loftbook.mechanics import Trust, Verdict
from loftbook.mechanics.ballistic import GRAVITY

APEX_SHARE = 0.3  # of a contact's error that the highest place in time has
DOUBTFUL = 0.08  # m: what 15 ms of time of flight are


def height(flight: FlightSeen) -> Reading:
    """Rise of the mass centre from take-off to its highest place, by time and gravity.

    Units
        m

    Source
        law: g t² / 2 with the time from take-off to the highest place
    """
    name, basis = "height", "gravity, and the time from take-off to the highest place"
    refused = no_clock(flight)
    if refused or not flight.leaves.seen:
        return silent(name, "m", refused or flight.leaves.missing("take-off"), basis)
    up = flight.fall.apex_time - flight.leaves.time
    spread = GRAVITY * up * hypot(flight.leaves.spread, APEX_SHARE * flight.leaves.spread)
    return number(
        name, GRAVITY * up**2 / 2, "m", spread=spread, basis=basis,
        verdict=weaker(_known(spread), flight.judged.path),
    )  # fmt: skip


def _known(spread: float) -> Verdict:
    if spread > DOUBTFUL:
        return Verdict(Trust.DOUBTFUL, f"Known to {100 * spread:.0f} cm only; draw the line of the bed.")
    return Verdict(Trust.GOOD, "A fall from there takes that long, whatever the picture shows.")
