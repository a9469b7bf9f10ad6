"""How much she carried round: angular momentum, and what it takes to hold her shape against it."""

from __future__ import annotations

import numpy as np

from loftbook.errors import LoftbookError
from loftbook.film.measurement import FlightSeen
from loftbook.film.reading import Reading
from loftbook.film.readings.fold import held_frames
from loftbook.film.readings.told import no_clock, no_pose, number, silent, weaker
from loftbook.mechanics import holding_at
from loftbook.mechanics.shape import shape_from
from loftbook.units import degree

MODEL_SPREAD = (
    0.08  # relative: body model and scale together; within 4 to 6 % of measured bodies, and the rest
)
UNIT, HOLD_UNIT = "m²/s", "body weight × height"


def angular_momentum(flight: FlightSeen) -> Reading:
    """Angular momentum about the mass centre, per kilogram, backward positive; in the air it must stay the same.

    Units
        m²/s per kilogram

    Source
        law: sum over segments; segment table as in `mechanics.body`
    """
    name, basis = "angular momentum", "joints and segment table through the air; backward positive"
    refused = no_clock(flight) or no_pose(flight)
    course = flight.course
    air = course.between(flight.leaves.time + 0.05, flight.lands.time - 0.05) & np.isfinite(course.momentum)
    use = air & ~course.doubtful
    if refused or use.sum() < 8:
        return silent(name, UNIT, refused or "Too few frames show the body.", basis)
    if flight.judged.momentum.trust == "none":
        return silent(name, UNIT, flight.judged.momentum.sentence, basis)
    value = flight.sense.faces * float(np.mean(course.momentum[use]))
    spread = abs(value) * float(np.hypot(MODEL_SPREAD, flight.spin_scatter / 2))
    verdict = weaker(flight.judged.momentum, flight.judged.pose, flight.judged.path)
    return number(name, value, UNIT, spread=spread, verdict=verdict, basis=basis)


def hold_moment(flight: FlightSeen) -> Reading:
    """What the hips must pull to hold this shape at this spin, as a multiple of body weight times height.

    Units
        body weight times height; both hips together

    Source
        `mechanics.holding_at`
    """
    name, basis = "hold moment", "shape and spin while it is held; both hips together, hands not counted"
    refused = no_clock(flight) or no_pose(flight)
    if refused:
        return silent(name, HOLD_UNIT, refused, basis)
    if not flight.phases.folded:
        return silent(name, HOLD_UNIT, "The body stayed open: there is nothing to hold.", basis)
    course = flight.course
    hips, knees = held_frames(flight, course.hip), held_frames(flight, course.knee)
    start, end = (flight.leaves.time + t for t in flight.phases.held)
    if len(hips) < 3 or end - start < 0.05:
        return silent(name, HOLD_UNIT, "The shape was not held long enough.", basis)
    spin = abs(course.at(course.trunk, end) - course.at(course.trunk, start)) / (end - start)
    bend = {"hip_flexion": np.pi - float(np.median(hips)), "knee": np.pi - float(np.median(knees))}
    # half of what exceeds 125 degrees at the hip is a rounded back: no hip bends further; an assumption
    back = max(0.0, bend["hip_flexion"] - 125 * degree)
    angles = {f"{side}_{joint}": value for side in ("left", "right") for joint, value in bend.items()}
    angles |= {
        "trunk_flexion": back,
        **{f"{s}_hip_flexion": bend["hip_flexion"] - back for s in ("left", "right")},
    }
    angles |= {f"{side}_arm_flexion": 60 * degree for side in ("left", "right")}
    try:
        load = holding_at(flight.athlete, shape_from(angles), spin=spin).hip
    except LoftbookError as error:
        return silent(name, HOLD_UNIT, error.sentence(), basis)
    return number(
        name, load, HOLD_UNIT, spread=0.2 * abs(load) + 0.02, basis=basis,
        verdict=weaker(flight.judged.pose, flight.judged.turning, flight.judged.path),
    )  # fmt: skip
