"""A flight: where the body points from take-off to landing, and how far to trust it.

A plan in the lab and a film of a child both end in this value; from here on nothing knows which it was.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

import numpy as np

from loftbook.mechanics.arrays import Array
from loftbook.mechanics.rotation import matrix


class Trust(StrEnum):
    """How far a result can be trusted."""

    GOOD = "good"
    DOUBTFUL = "doubtful"
    NONE = "none"


@dataclass(frozen=True)
class Verdict:
    """How far a result can be trusted, and the sentence that says why.

    Example
        >>> Verdict(Trust.GOOD, "Steps agree to 0.001°.").trust == "good"
        True
    """

    trust: Trust
    sentence: str


@dataclass(frozen=True, eq=False)
class Flight:
    """One flight through the air, from the lab or from film.

    Units
        times : (N,) s
        orientations : (N, 4) quaternions w x y z, pelvis to space
        momentum : (3,) m²/s, angular momentum about the mass centre per kilogram of body mass, in space
        tensors : (N, 3, 3) m², inertia about the mass centre in the pelvis's frame
        relative_momenta : (N, 3) m²/s, momentum of the moving limbs in the pelvis's frame
        mass_centres : (N, 3) m, from the middle of the hips in the pelvis's frame
        error : rad, estimated largest error of orientation (numerical for a plan; rms of the fit for film)
        longitudinal_uncertainty : relative, of the inertia about the long axis
    """

    times: Array
    orientations: Array
    momentum: Array
    tensors: Array
    relative_momenta: Array
    mass_centres: Array
    error: float
    verdict: Verdict
    longitudinal_uncertainty: float


def spins(flight: Flight) -> Array:
    """How fast the pelvis turns at each instant, seen from itself.

    Units
        returns (N, 3) rad/s in the pelvis's frame: to the right (somersault backward), forward, up (twist to
        the left)

    Source
        law: H = R (J Omega + h), solved for Omega

    Example
        >>> from loftbook.mechanics import Plan, TakeOff, body, fly, straight
        >>> held = fly(body(1.5, "female", age=12), Plan(straight()), TakeOff((0.5, 0, 0)), duration=1.0)
        >>> bool(spins(held)[0, 0] > 0)
        True
    """
    into_body = np.einsum("nji,j->ni", matrix(flight.orientations), flight.momentum)
    return np.linalg.solve(flight.tensors, (into_body - flight.relative_momenta)[..., None])[..., 0]


def rigid_energy(flight: Flight) -> Array:
    """Energy of turning, if the shape were frozen at each instant.

    Units
        returns (N,) m²/s², joules per kilogram of body mass

    Source
        law: E = H·J⁻¹·H / 2 in the body's frame

    Example
        >>> from loftbook.mechanics import Plan, TakeOff, body, fly, straight
        >>> held = fly(body(1.5, "female", age=12), Plan(straight()), TakeOff((0.5, 0, 0)), duration=1.0)
        >>> bool(np.ptp(rigid_energy(held)) < 1e-9)
        True
    """
    into_body = np.einsum("nji,j->ni", matrix(flight.orientations), flight.momentum)
    turned = np.linalg.solve(flight.tensors, into_body[..., None])[..., 0]
    return np.asarray(0.5 * np.einsum("ni,ni->n", into_body, turned))
