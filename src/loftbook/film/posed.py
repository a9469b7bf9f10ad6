"""A filmed flight as the `Flight` of mechanics, so that from there on nothing knows whether it was film or plan."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from loftbook.errors import LoftbookError
from loftbook.film.course import Course
from loftbook.film.measurement import FlightSeen
from loftbook.film.sense import Sense
from loftbook.film.track import Array
from loftbook.mechanics import Body, Flight, Trust, fit_flight, motion_of_body
from loftbook.mechanics.body import ANGLE_NAMES
from loftbook.mechanics.motion import Motion
from loftbook.mechanics.shape import ANGLE_LIMITS

RATE = 60.0  # instants a second into which a flight is resampled; mechanics wants even steps
CUTOFF = 8.0  # Hz, below which a body's own movement lies


@dataclass(frozen=True, eq=False)
class Posed:
    """A filmed flight as the movement of a body, in the plane that the camera saw.

    Units
        times : (N,) s from take-off; angles : (N, 18) rad in the order of `ANGLE_NAMES`, both sides alike
        orientations : (N, 4) w x y z of the pelvis; hips : (N, 3) m, x across, y forward, z up
    """

    athlete: Body
    times: Array
    angles: Array
    orientations: Array
    hips: Array

    @property
    def motion(self) -> Motion:
        """The same as a measured movement for mechanics."""
        return motion_of_body(self.athlete, self.times, self.angles, self.orientations, self.hips)


def pose_of(seen: FlightSeen) -> Posed | None:
    """How the body stood in the air, instant by instant, or None where too little was seen.

    Valid
        no twist: left and right do the same
    """
    if Trust.NONE in (seen.judged.pose.trust, seen.judged.path.trust):
        return None
    course, sense = seen.course, seen.sense
    leaves, lands = seen.leaves.time, seen.lands.time
    times = np.linspace(leaves, lands, max(24, round((lands - leaves) * RATE)) + 1)
    try:
        angles = _angles(course, times)
        turned = sense.faces * _even(course, course.trunk, times)
        pelvis = turned + angles[:, ANGLE_NAMES.index("trunk_flexion")] / 2
        orientations = np.stack([np.cos(pelvis / 2), np.sin(pelvis / 2), 0 * pelvis, 0 * pelvis], axis=1)
        return Posed(seen.athlete, times - leaves, angles, orientations, _hips(course, sense, times))
    except LoftbookError:
        return None


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
    posed = pose_of(seen)
    try:
        return None if posed is None else fit_flight(posed.motion, cutoff=CUTOFF).flight
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
