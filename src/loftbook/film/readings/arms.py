"""Where the arms were at take-off, in the shape and at landing; and whether the hands were on the legs."""

from __future__ import annotations

import numpy as np

from loftbook.film.measurement import FlightSeen
from loftbook.film.reading import Reading
from loftbook.film.readings.fold import held_frames
from loftbook.film.readings.told import no_pose, silent, word
from loftbook.mechanics import Trust, Verdict
from loftbook.units import degree

UP, DOWN = 130.0, 50.0  # °: above the one the arms are up, below the other down
ON, OFF = 0.065, 0.12  # of stature, from wrists to the leg: nearer is on, farther is off; an assumption
DOUBT = "Wrists and hands are the least sure of all joints, and in a side view one arm hides the other."


def arms(flight: FlightSeen) -> Reading:
    """Where the arms were at take-off, in the shape and at landing, in words.

    Units
        words; up, in front, down against the trunk
    """
    name, basis = "arms", "upper arms against the trunk"
    refused = no_pose(flight)
    course = flight.course
    held = held_frames(flight, course.arm)
    if refused or len(held) < 3:
        return silent(name, "", refused or "The arms were not seen.", basis)
    angles = (
        course.at(course.arm, flight.leaves.time), float(np.median(held)), course.at(course.arm, flight.lands.time),
    )  # fmt: skip
    told = ", ".join(
        f"{_where(angle / degree)} {when}"
        for angle, when in zip(angles, ("at take-off", "in the shape", "at landing"), strict=True)
    )
    return word(name, told, verdict=Verdict(Trust.DOUBTFUL, DOUBT), basis=basis)


def hands(flight: FlightSeen) -> Reading:
    """Whether the hands were on the legs while the shape was held.

    Units
        a word: on, off, partly
    """
    name, basis = "hands on legs", "from the wrists to lower leg or thigh while the shape is held"
    refused = no_pose(flight)
    gaps = held_frames(flight, flight.course.hands)
    if refused or len(gaps) < 3:
        return silent(name, "", refused or "The hands were not seen.", basis)
    if not flight.phases.folded:
        return silent(name, "", "The body stayed open: there is nothing to hold.", basis)
    near = float(np.mean(gaps < ON * flight.stature))
    far = float(np.mean(gaps > OFF * flight.stature))
    value = "on" if near > 0.7 else "off" if far > 0.7 else "partly"
    return word(name, value, verdict=Verdict(Trust.DOUBTFUL, DOUBT), basis=basis)


def _where(angle_deg: float) -> str:
    if not np.isfinite(angle_deg):
        return "not seen"
    return "up" if angle_deg > UP else "down" if angle_deg < DOWN else "in front"
