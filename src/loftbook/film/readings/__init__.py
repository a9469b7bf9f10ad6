"""The readings of one flight, one module each; what a film cannot tell is a sentence, not a number."""

from __future__ import annotations

from loftbook.film.measurement import FlightSeen
from loftbook.film.reading import Reading
from loftbook.film.readings.arms import arms, hands
from loftbook.film.readings.contact_time import contact_time
from loftbook.film.readings.fold import fold
from loftbook.film.readings.height import height
from loftbook.film.readings.lean import lean
from loftbook.film.readings.momentum import angular_momentum, hold_moment
from loftbook.film.readings.opening import opening
from loftbook.film.readings.rotation import rotation
from loftbook.film.readings.scale import scale
from loftbook.film.readings.shape import ShapeBox, ShapeLimits, shape, usual_limits
from loftbook.film.readings.spin import spin
from loftbook.film.readings.time_of_flight import time_of_flight
from loftbook.film.readings.travel import travel
from loftbook.film.readings.twist import twist

__all__ = ["ShapeBox", "ShapeLimits", "all_readings", "usual_limits"]


def all_readings(flight: FlightSeen, limits: ShapeLimits) -> tuple[Reading, ...]:
    """Every reading of one flight, in the order in which a coach asks.

    Units
        as each reading says

    Example
        >>> all_readings.__name__
        'all_readings'
    """
    return (
        time_of_flight(flight),
        height(flight),
        travel(flight),
        contact_time(flight),
        *rotation(flight),
        *spin(flight),
        shape(flight, limits),
        *fold(flight),
        *opening(flight),
        *lean(flight),
        arms(flight),
        hands(flight),
        *twist(flight, flight.course.shoulders),
        angular_momentum(flight),
        hold_moment(flight),
        *scale(flight),
    )
