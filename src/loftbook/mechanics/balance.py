"""Momentum and fall of a recorded movement, before any law is used.

In the air the mass centre must fall at g and the angular momentum must stay the same: how far a recording keeps to that
says how good it is.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from loftbook.errors import RangeError
from loftbook.mechanics.arrays import Array
from loftbook.mechanics.flight import Flight, Trust, Verdict
from loftbook.mechanics.motion import Motion, smoothed, without_flips
from loftbook.mechanics.rotation import inverse, matrix, multiply


@dataclass(frozen=True, eq=False)
class Balance:
    """What a recorded movement says about momentum and fall, before any law is used.

    Units
        flight : the movement as a `Flight`, with the mean of the measured momentum
        momenta : (N, 3) m²/s in space, about the mass centre
        momentum_scatter : standard deviation of the momentum's size over its mean
        wander : rad, rms angle of the momentum from its mean direction
        fall : m/s², downward acceleration of the mass centre
        sideways : m/s², its horizontal acceleration
    """

    flight: Flight
    momenta: Array
    momentum_scatter: float
    wander: float
    fall: float
    sideways: float


def momentum_balance(motion: Motion, *, cutoff: float = 10.0, trim: int = 0) -> Balance:
    """How constant the angular momentum of a recorded flight is, and how its mass centre falls.

    Units
        cutoff : Hz of the smoothing; trim : instants to leave out at each end, where smoothing is unsure and contact
        may not have ended

    Valid
        for the part in the air only

    Raises
        RangeError when too little is left

    Source
        law: the sum over segments of m r × v and I ω; rates from cubic splines through smoothed values

    Example
        >>> from loftbook.mechanics.motion import motion_of_body
        >>> from loftbook.mechanics import body
        >>> t = np.arange(60) / 60
        >>> hips = np.stack([0 * t, 0 * t, 5 * t - 4.905 * t**2], axis=1)
        >>> q = np.stack([np.cos(3 * t), np.sin(3 * t), 0 * t, 0 * t], axis=1)
        >>> held = motion_of_body(body(1.5, "female", age=12), t, np.zeros((60, 18)), q, hips)
        >>> round(momentum_balance(held, cutoff=20, trim=8).momentum_scatter, 3) < 0.01
        True
    """
    clean = smoothed(motion, cutoff=cutoff)
    keep = slice(trim, len(motion.times) - trim)
    if trim < 0 or len(motion.times[keep]) < 8:
        raise RangeError(
            f"{len(motion.times[keep])} instants after trimming {trim} at each end", "8 or more", "trim less"
        )
    flight, momenta, middle = _sums(clean, keep)
    sizes = np.linalg.norm(momenta, axis=1)
    angles = np.array([angle_from(row, flight.momentum) for row in momenta])
    curve = np.polynomial.polynomial.polyfit(flight.times - flight.times.mean(), middle, 2)
    return Balance(
        flight=flight,
        momenta=momenta,
        momentum_scatter=float(sizes.std() / max(sizes.mean(), 1e-12)),
        wander=float(np.sqrt(np.mean(angles**2))),
        fall=float(-2 * curve[2, 2]),
        sideways=float(2 * np.hypot(curve[2, 0], curve[2, 1])),
    )


def angle_from(a: Array, b: Array) -> float:
    """Angle between two vectors.

    Units
        a, b : (3,); returns rad, 0 to π

    Source
        law, in the form that stays exact for small angles

    Example
        >>> round(angle_from(np.array([1.0, 0, 0]), np.array([0.0, 2, 0])), 4)
        1.5708
    """
    return float(np.arctan2(np.linalg.norm(np.cross(a, b)), a @ b))


def _sums(clean: Motion, keep: slice) -> tuple[Flight, Array, Array]:
    """The movement as a flight, its momentum (N, 3) and its mass centre (N, 3) in space."""
    from scipy.interpolate import CubicSpline

    times, m = clean.times[keep], clean.fractions / clean.fractions.sum()
    q = without_flips(clean.orientations)
    velocity = CubicSpline(clean.times, clean.centres)(times, 1)
    spin = 2 * multiply(inverse(q[keep]), CubicSpline(clean.times, q)(times, 1))[..., 1:]
    centres, R = clean.centres[keep], matrix(q[keep])
    middle = np.einsum("s,nsi->ni", m, centres)
    out = centres - middle[:, None]
    own = np.einsum("nsij,sjk,nslk->nsil", R, clean.inertias, R)
    moved = np.cross(out, velocity - np.einsum("s,nsi->ni", m, velocity)[:, None])
    turned = np.einsum("nsij,nsj->ni", own, np.einsum("nsij,nsj->nsi", R, spin))
    momenta = np.einsum("s,nsi->ni", m, moved) + turned
    squared = np.einsum("s,nsi,nsi->n", m, out, out)[:, None, None] * np.eye(3)
    tensor = own.sum(axis=1) + squared - np.einsum("s,nsi,nsj->nij", m, out, out)
    root = R[:, 0]
    tensors = np.einsum("nji,njk,nkl->nil", root, tensor, root)
    flight = Flight(
        times=times,
        orientations=q[keep, 0],
        momentum=momenta.mean(axis=0),
        tensors=tensors,
        relative_momenta=_in_pelvis(root, momenta) - np.einsum("nij,nj->ni", tensors, spin[:, 0]),
        mass_centres=_in_pelvis(root, middle - centres[:, 0]),
        error=float("nan"),
        verdict=Verdict(Trust.DOUBTFUL, "Measured, not yet held against the laws of flight."),
        longitudinal_uncertainty=clean.longitudinal_uncertainty,
    )
    return flight, momenta, middle


def _in_pelvis(root: Array, vectors: Array) -> Array:
    return np.asarray(np.einsum("nji,nj->ni", root, vectors))
