"""How far hips and knees were bent while she held her shape."""

from __future__ import annotations

from math import hypot

import numpy as np

from loftbook.film.measurement import FlightSeen
from loftbook.film.reading import Reading
from loftbook.film.readings.told import no_pose, number, silent, weaker
from loftbook.film.track import Array
from loftbook.mechanics import Trust, Verdict
from loftbook.units import degree

SHOULDERS = 0.20  # of stature, between the shoulder joints; as `mechanics.body`
SHOWN = 0.5  # of that width: shoulders turned by 30 degrees
MODEL_SPREAD = 6.0  # °: a pose model's hip and knee on rendered clips, 2 to 5 in tuck and straight
# °, in a pike: three models on one rendered clip 5 to 7 at the hip and 7 to 12 at the knee, mostly too bent; others
# before them up to 16
PIKE_SPREAD = 12.0


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
        spread = hypot(model_spread(flight) * degree, float(np.std(some)) / np.sqrt(max(len(some) / 6, 1)))
        found.append(
            number(
                whole,
                middle / degree,
                "°",
                spread=spread / degree,
                verdict=bends_verdict(flight),
                basis=basis,
            )
        )
    return found[0], found[1]


def model_spread(flight: FlightSeen) -> float:
    """How far off the bend of a hip or knee may be in this flight, one standard deviation, °."""
    return PIKE_SPREAD if flight.judged.guessed_pike else MODEL_SPREAD


def bends_verdict(flight: FlightSeen) -> Verdict:
    """How far bends can be trusted: by the pose, and not while she twists, when a side view foreshortens them."""
    if flight.judged.pose.trust == Trust.GOOD and shows_twist(flight):
        return Verdict(
            Trust.DOUBTFUL, "She twists: a bend that turns towards the camera looks smaller than it is."
        )
    return weaker(flight.judged.pose, flight.judged.path)


def shows_twist(flight: FlightSeen) -> bool:
    """Whether the shoulders come broadside in the air, or she faces the other way at the end."""
    air = flight.course.between(flight.leaves.time, flight.lands.time)
    share = flight.course.shoulders[air] / (SHOULDERS * flight.stature)
    share = share[np.isfinite(share)]
    return bool(flight.sense.turned or (len(share) >= 8 and np.percentile(share, 90) >= SHOWN))


def held_frames(flight: FlightSeen, values: Array) -> Array:
    """A curve's values in the frames in which the shape is held and the joints can be trusted."""
    start, end = (flight.leaves.time + t for t in flight.phases.held)
    use = flight.course.between(start - 1e-9, end + 1e-9) & np.isfinite(values) & ~flight.course.doubtful
    return np.asarray(values[use])
