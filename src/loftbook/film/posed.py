"""A filmed flight as the `Flight` of mechanics, so that from there on nothing knows whether it was film or plan."""

from __future__ import annotations

import numpy as np

from loftbook.errors import LoftbookError
from loftbook.film.course import Course
from loftbook.film.measurement import FlightSeen
from loftbook.film.sense import Sense
from loftbook.film.track import Array
from loftbook.mechanics import Flight, Trust, fit_flight, motion_of_body
from loftbook.mechanics.body import ANGLE_NAMES
from loftbook.mechanics.shape import ANGLE_LIMITS

RATE = 60.0  # instants a second into which a flight is resampled; mechanics wants even steps
CUTOFF = 8.0  # Hz, below which a body's own movement lies


def flight_of(seen: FlightSeen) -> Flight | None:
    """One filmed flight as a `Flight`, in the plane that the camera saw; None where too little was seen.

    Units
        the flight's own times begin at take-off

    Valid
        no twist: left and right do the same. Its verdict says whether momentum and fall obey the laws

    Source
        `mechanics.fit_flight`

    Example
        >>> flight_of.__name__
        'flight_of'
    """
    if Trust.NONE in (seen.judged.pose.trust, seen.judged.path.trust):
        return None
    course, sense = seen.course, seen.sense
    leaves, lands = seen.leaves.time, seen.lands.time
    steps = max(24, round((lands - leaves) * RATE))
    times = np.linspace(leaves, lands, steps + 1)
    try:
        angles = _angles(course, times)
        turned = sense.faces * _even(course, course.trunk, times)
        lean = angles[:, ANGLE_NAMES.index("trunk_flexion")]
        pelvis = turned + lean / 2
        hips = _hips(course, sense, times)
        orientations = np.stack([np.cos(pelvis / 2), np.sin(pelvis / 2), 0 * pelvis, 0 * pelvis], axis=1)
        motion = motion_of_body(seen.athlete, times - leaves, angles, orientations, hips)
        return fit_flight(motion, cutoff=CUTOFF).flight
    except LoftbookError:
        return None


def _angles(course: Course, times: Array) -> Array:
    """Joint angles of the body model, both sides alike, kept within what bodies do."""
    out = np.zeros((len(times), len(ANGLE_NAMES)))
    hip = np.pi - _even(course, course.hip, times)
    knee = np.pi - _even(course, course.knee, times)
    arm = _even(course, course.arm, times)
    columns = {name: n for n, name in enumerate(ANGLE_NAMES)}
    for side in ("left", "right"):
        out[:, columns[f"{side}_hip_flexion"]] = hip
        out[:, columns[f"{side}_knee"]] = knee
        out[:, columns[f"{side}_arm_flexion"]] = arm
    for name, n in columns.items():
        out[:, n] = np.clip(out[:, n], *ANGLE_LIMITS[name])
    return out


def _even(course: Course, values: Array, times: Array) -> Array:
    known = np.isfinite(values) & ~course.doubtful
    if known.sum() < 8:
        known = np.isfinite(values)
    if known.sum() < 8:
        raise LoftbookError("Too few frames show the body.")
    return np.asarray(np.interp(times, course.times[known], values[known]))


def _hips(course: Course, sense: Sense, times: Array) -> Array:
    hip = course.places["hip"]
    forward = sense.faces * _even(course, hip[:, 0], times)
    up = _even(course, hip[:, 1], times)
    return np.stack([np.zeros_like(up), forward, up], axis=1)
