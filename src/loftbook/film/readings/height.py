"""How high her mass centre rose above where it left."""

from __future__ import annotations

from math import hypot

from loftbook.film.measurement import FlightSeen
from loftbook.film.reading import Reading
from loftbook.film.readings.told import no_clock, number, silent, weaker
from loftbook.mechanics import Trust, Verdict
from loftbook.mechanics.ballistic import GRAVITY

APEX_SHARE = 0.3  # of a contact's error that the highest place in time has


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
        return silent(name, "m", refused or "The take-off is not in the film.", basis)
    up = flight.fall.apex_time - flight.leaves.time
    spread = GRAVITY * up * hypot(flight.leaves.spread, APEX_SHARE * flight.leaves.spread)
    return number(
        name, GRAVITY * up**2 / 2, "m", spread=spread, basis=basis,
        verdict=weaker(
            Verdict(Trust.GOOD, "A fall from there takes that long, whatever the picture shows."),
            flight.judged.path,
        ),
    )  # fmt: skip
