"""How long she was on the bed before this flight."""

from __future__ import annotations

from math import isfinite

from loftbook.film.measurement import FlightSeen
from loftbook.film.reading import Reading
from loftbook.film.readings.told import no_clock, number, silent
from loftbook.mechanics import Trust, Verdict


def contact_time(flight: FlightSeen) -> Reading:
    """Time on the bed between the flight before and this one.

    Units
        s

    Valid
        when the film shows the flight before
    """
    name, basis = "contact time", "from the landing of the flight before to this take-off"
    refused = no_clock(flight)
    if refused or not isfinite(flight.contact):
        return silent(name, "s", refused or "The film does not show the flight before this one.", basis)
    return number(
        name, flight.contact, "s", spread=flight.contact_spread, basis=basis,
        verdict=Verdict(Trust.GOOD, "Both touches are in the film."),
    )  # fmt: skip
