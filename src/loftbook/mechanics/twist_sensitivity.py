"""How much each small change moves the landing of a twisting somersault, one at a time."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from loftbook.mechanics.body import Body, thicker
from loftbook.mechanics.twist_bands import STEPS
from loftbook.mechanics.twist_flights import Disturbance, land
from loftbook.mechanics.twist_technique import Technique
from loftbook.units import degree, millisecond

NUDGES = {"s": 10 * millisecond, "rad": 5 * degree}  # of one input at a time; momentum by two per cent


@dataclass(frozen=True)
class Sensitivity:
    """What one small change does to the landing.

    Units
        what : the thing that changes; change : by how much, in words
        twist, tilt, somersault : rad at landing, for that change
    """

    what: str
    change: str
    twist: float
    tilt: float
    somersault: float


def sensitivities(body: Body, technique: Technique, *, workers: int = 2) -> tuple[Sensitivity, ...]:
    """What each small change by itself does to the landing, the largest twist first.

    Units
        10 ms of a time, 5° of an angle, 2 % of the momentum, 1° of tilt at take-off, one standard uncertainty of the
        inertia about the long axis

    Valid
        small changes: half the difference of one up and one down

    Raises
        PlanError for movements that nobody can make

    Source
        law: as `fly_many`

    Example
        >>> from loftbook.mechanics import body, full_out
        >>> girl = body(1.6, "female", age=15)
        >>> found = sensitivities(girl, full_out(girl, flight_time=1.6))
        >>> {one.what for one in found} >= {"momentum", "arm up", "tilt at take-off", "inertia about the long axis"}
        True
    """
    inputs = technique.inputs
    sizes = [NUDGES.get(one.unit, 0.02 * abs(one.value)) for one in inputs]
    nudges = np.vstack([np.diag(sizes), -np.diag(sizes), np.zeros((2, len(inputs)))])
    tilt = np.zeros(len(nudges))
    tilt[-2:] = degree, -degree
    zeros = np.zeros((len(nudges), len(technique.plan.keys)))
    disturbed = Disturbance(zeros, np.zeros(len(nudges)), tilt)
    landed = land(
        body, technique, technique.values + nudges, disturbed=disturbed, steps=STEPS, workers=workers
    )
    names = [(one.name, _words(one.unit)) for one in inputs]
    pairs = [(n, n + len(inputs)) for n in range(len(inputs))] + [(len(nudges) - 2, len(nudges) - 1)]
    found = [
        Sensitivity(
            what, change, *(float(v[a] - v[b]) / 2 for v in (landed.twist, landed.tilt, landed.somersault))
        )
        for (what, change), (a, b) in zip(
            [*names, ("tilt at take-off", "1° to the right")], pairs, strict=True
        )
    ]
    return tuple(sorted([*found, _of_inertia(body, technique)], key=lambda one: -abs(one.twist)))


def _of_inertia(body: Body, technique: Technique) -> Sensitivity:
    u = body.longitudinal_uncertainty
    up, down = (
        land(thicker(body, longitudinal=1 + s * u), technique, technique.values[None], steps=STEPS, workers=1)
        for s in (1, -1)
    )
    effects = (
        float(a[0] - b[0]) / 2
        for a, b in ((up.twist, down.twist), (up.tilt, down.tilt), (up.somersault, down.somersault))
    )
    return Sensitivity("inertia about the long axis", f"{100 * u:.0f} % more", *effects)


def _words(unit: str) -> str:
    return {"s": "10 ms later", "rad": "5° more"}.get(unit, "2 % more")
