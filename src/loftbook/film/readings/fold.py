"""How far hips and knees were bent while she held her shape."""

from __future__ import annotations

from math import hypot

import numpy as np

from loftbook.film.measurement import FlightSeen
from loftbook.film.reading import Reading
from loftbook.film.readings.told import no_pose, number, silent
from loftbook.film.track import Array
from loftbook.units import degree

MODEL_SPREAD = 4.0  # °: mean error of a pose model's hip and knee on rendered clips; a best case


def fold(flight: FlightSeen) -> tuple[Reading, Reading]:
    """Bend of hip and knee while the shape is held, the middle of those frames; 0 is straight.

    Units
        °, flexion: 180 less the opening angle. The hip's is between trunk (hips to shoulders) and thigh, so that a
        rounded back counts as bent hips

    Valid
        left and right together
    """
    found = []
    for name, values in (("hip", flight.course.hip), ("knee", flight.course.knee)):
        whole, basis = f"{name} flexion in the shape", "joints while the shape is held; 0 is straight"
        refused = no_pose(flight)
        some = held_frames(flight, values)
        if refused or len(some) < 3:
            found.append(silent(whole, "°", refused or "Too few frames show the shape.", basis))
            continue
        middle = float(np.median(np.pi - some))
        spread = hypot(MODEL_SPREAD * degree, float(np.std(some)) / np.sqrt(max(len(some) / 6, 1)))
        found.append(
            number(
                whole, middle / degree, "°", spread=spread / degree, verdict=flight.judged.pose, basis=basis
            )
        )
    return found[0], found[1]


def held_frames(flight: FlightSeen, values: Array) -> Array:
    """A curve's values in the frames in which the shape is held and the joints can be trusted."""
    start, end = (flight.leaves.time + t for t in flight.phases.held)
    use = flight.course.between(start - 1e-9, end + 1e-9) & np.isfinite(values) & ~flight.course.doubtful
    return np.asarray(values[use])
