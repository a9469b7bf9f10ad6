"""How large a metre is in the picture, by gravity alone."""

from __future__ import annotations

from math import hypot

from loftbook.film.measurement import FlightSeen
from loftbook.film.reading import Reading
from loftbook.film.readings.told import no_clock, number, silent
from loftbook.mechanics import Trust, Verdict
from loftbook.units import degree

# relative: the mass centre of two recorded flights falls 1.4 and 1.7 % off g, and travel towards the camera adds half a
# per cent; gravity itself differs by 0.3 % over the Earth
FLOOR = 0.015
DOUBTFUL = 0.03


def scale(flight: FlightSeen) -> tuple[Reading, Reading, Reading]:
    """Pixels per metre at the middle row of the picture, upright and sideways, and her height by that scale.

    Units
        px/m, local at the middle row; m

    Source
        law: the mass centre falls at g; a plane seen from a pitched camera shrinks upwards
    """
    fall = flight.fall
    names = (("scale", "px/m"), ("scale sideways", "px/m"), ("stature by the film", "m"))
    basis = "fall of the mass centre at g, in the plane of the flight, at the middle row of the picture"
    refused = no_clock(flight)
    if refused:
        first, second, third = (silent(name, unit, refused, basis) for name, unit in names)
        return first, second, third
    middle = fall.picture[1] / 2
    here, across = fall.scale_at(middle), fall.sideways_scale_at(middle)
    spread = here * hypot(FLOOR, fall.scale_spread / fall.scale)
    good = spread < DOUBTFUL * here and flight.judged.path.trust == Trust.GOOD
    words = f"The camera looks up by about {fall.pitch / degree:.0f}°; sideways it is {across:.1f} px/m."
    verdict = (
        Verdict(Trust.GOOD, words)
        if good
        else Verdict(Trust.DOUBTFUL, f"{flight.judged.path.sentence} {words}")
    )
    return (
        number("scale", here, "px/m", spread=spread, verdict=verdict, basis=basis),
        number("scale sideways", across, "px/m", spread=hypot(spread, 0.012 * across), verdict=verdict, basis=basis),
        number(
            "stature by the film", flight.stature_estimated, "m", spread=0.05 * flight.stature_estimated,
            verdict=Verdict(Trust.DOUBTFUL, "By lines between joints; to check the scale, not to know her height."),
            basis="trunk, thighs and shanks in the air",
        ),
    )  # fmt: skip
