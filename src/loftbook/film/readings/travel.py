"""How far she travelled in the air."""

from __future__ import annotations

from math import hypot

from loftbook.film.measurement import FlightSeen
from loftbook.film.reading import Reading
from loftbook.film.readings.told import ends_seen, no_clock, number, silent, weaker
from loftbook.mechanics import Trust, Verdict

SQUARENESS = 0.05  # relative: a camera 15 degrees off square shortens by 4 per cent; an assumption
LEAN_OF_CAMERA = 0.02  # m for each metre of height: a camera tilted by one degree; an assumption
POOR = "One jump says little: the same child's travel differs by tens of centimetres from jump to jump."


def travel(flight: FlightSeen) -> Reading:
    """Way of the mass centre in the picture from take-off to landing, forward positive.

    Units
        m, forward is where she faced at take-off

    Valid
        square to the camera; travel towards it is not seen
    """
    name, basis = "travel", "mass centre across the picture, scale from gravity; forward positive"
    refused = no_clock(flight) or ends_seen(flight)
    if refused:
        return silent(name, "m", refused, basis)
    across = flight.fall.sideways / flight.fall.sideways_scale_at(flight.fall.apex[1])
    way = flight.sense.faces * across * flight.duration
    rise = flight.lands.time - flight.leaves.time
    spread = hypot(SQUARENESS * way, 0.02 + 0.01 * rise)
    verdict = Verdict(Trust.GOOD, POOR) if flight.sense.sure else Verdict(
        Trust.DOUBTFUL, f"It is not sure which way she faced. {POOR}"
    )  # fmt: skip
    return number(name, way, "m", spread=spread, verdict=weaker(verdict, flight.judged.path), basis=basis)
