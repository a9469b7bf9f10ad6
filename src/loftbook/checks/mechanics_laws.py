"""What must stay the same in the air, worked out segment by segment from our own flight.

Nothing here uses the kernel's inertia or momentum: segments are placed from joint angles with scipy's rotations, rates
come from splines through their places, and Newton and Euler do the rest from the hands and feet inwards.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

import numpy as np
from scipy.interpolate import make_interp_spline
from scipy.spatial.transform import Rotation

from loftbook.checks.engines import hinges_at, trial
from loftbook.checks.registry import Finding, check
from loftbook.mechanics.arrays import Array, Skeleton


@dataclass(frozen=True, eq=False)
class Segments:
    """Every segment of a flight in space, about the mass centre, with its rates and accelerations.

    Units
        times (N,) s; rotations (N, S, 3, 3); centres, joints, velocities, accelerations (N, S, 3) SI; spins and
        their rates (N, S, 3) rad/s, rad/s², in space
    """

    times: Array
    rotations: Array
    centres: Array
    joints: Array
    velocities: Array
    accelerations: Array
    spins: Array
    spin_rates: Array


def placed(skeleton: Skeleton, hinges: Array) -> tuple[Array, Array]:
    """Rotations (N, S, 3, 3) and joints (N, S, 3) in the pelvis's frame, by scipy's rotations."""
    count = len(hinges)
    rotations, joints = [np.tile(np.eye(3), (count, 1, 1))], [np.zeros((count, 3))]
    for i in range(1, len(skeleton.parents)):
        p = skeleton.parents[i]
        joints.append(joints[p] + rotations[p] @ skeleton.offsets[i])
        turned = rotations[p]
        for k in range(skeleton.turn_start[i], skeleton.turn_start[i + 1]):
            axis = np.eye(3)[skeleton.turn_axis[k]]
            turned = turned @ Rotation.from_rotvec(hinges[:, k, None] * axis).as_matrix()
        rotations.append(turned)
    return np.stack(rotations, axis=1), np.stack(joints, axis=1)


@cache
def segments() -> Segments:
    """The flight of `engines.trial`, taken apart."""
    skeleton, given = trial().skeleton, trial().curves
    flight = trial().flight
    times = flight.times
    pelvis = Rotation.from_quat(flight.orientations, scalar_first=True).as_matrix()
    local, joints = placed(skeleton, hinges_at(skeleton, given, times)[0])
    centres = joints + np.einsum("nsij,sj->nsi", local, skeleton.centres)
    middle = np.einsum("s,nsi->ni", skeleton.fractions, centres)[:, None]
    rotations = np.einsum("nij,nsjk->nsik", pelvis, local)
    centres, joints = (np.einsum("nij,nsj->nsi", pelvis, a - middle) for a in (centres, joints))
    path = make_interp_spline(times, centres, k=5)
    turning = make_interp_spline(times, rotations, k=5)
    first = np.einsum("nsij,nskj->nsik", turning.derivative()(times), rotations)
    spins = np.stack([first[..., 2, 1], first[..., 0, 2], first[..., 1, 0]], axis=-1)
    return Segments(
        times=times,
        rotations=rotations,
        centres=centres,
        joints=joints,
        velocities=path.derivative()(times),
        accelerations=path.derivative(2)(times),
        spins=spins,
        spin_rates=make_interp_spline(times, spins, k=5).derivative()(times),
    )


def moments_at_joints(skeleton: Skeleton, found: Segments) -> Array:
    """Newton and Euler from the hands and feet inwards: (N, S, 3) moment on each segment at its joint, m²/s²."""
    inertias = np.array([np.diag(row) for row in skeleton.inertias])
    own = np.einsum("nsij,sjk,nslk->nsil", found.rotations, inertias, found.rotations)
    turned = np.einsum("nsij,nsj->nsi", own, found.spins)
    push = skeleton.fractions[:, None] * found.accelerations
    moment = np.einsum("nsij,nsj->nsi", own, found.spin_rates) + np.cross(found.spins, turned)
    moment += np.cross(found.centres - found.joints, push)
    force = push.copy()
    for i in range(len(skeleton.parents) - 1, 0, -1):
        p = skeleton.parents[i]
        force[:, p] += force[:, i]
        moment[:, p] += moment[:, i] + np.cross(found.joints[:, i] - found.joints[:, p], force[:, i])
    return np.asarray(moment)


def kinetic_energy(skeleton: Skeleton, found: Segments) -> Array:
    """Energy of all segments about the mass centre, (N,) m²/s²."""
    in_own = np.einsum("nsji,nsj->nsi", found.rotations, found.spins)
    moving = np.einsum("s,nsi,nsi->n", skeleton.fractions, found.velocities, found.velocities)
    return np.asarray(0.5 * (moving + np.einsum("si,nsi,nsi->n", skeleton.inertias, in_own, in_own)))


@check(
    name="The segments' own momenta add up to the same H all the way",
    kind="law",
    source="conservation of angular momentum: sum of m r × v and I ω over sixteen segments, without the kernel",
    expected="the momentum of take-off at every instant",
    tolerance="1e-5 of it: the rates come from splines through places 0.4 ms apart",
)
def momentum_stays() -> Finding:
    """The definition of angular momentum, summed over what a camera would see."""
    skeleton, found, H = trial().skeleton, segments(), trial().flight.momentum
    in_own = np.einsum("nsji,nsj->nsi", found.rotations, found.spins)
    turned = np.einsum("nsij,sj,nsj->ni", found.rotations, skeleton.inertias, in_own)
    moved = np.einsum("s,nsi->ni", skeleton.fractions, np.cross(found.centres, found.velocities))
    off = np.linalg.norm(turned + moved - H, axis=1)[3:-3].max() / np.linalg.norm(H)
    return Finding(f"off by {off:.1e} of it at most", bool(off < 1e-5))


@check(
    name="No force from outside is needed for the flight",
    kind="law",
    source="Newton and Euler, segment by segment from the hands and feet to the pelvis",
    expected="no moment left over at the pelvis: the joints' moments alone explain the movement",
    tolerance="0.1 % of the largest moment at a joint: accelerations come from splines",
)
def nothing_left_over() -> Finding:
    """Inverse dynamics of the whole flight; what is left at the pelvis would have to come from outside."""
    moments = moments_at_joints(trial().skeleton, segments())[5:-5]
    left = np.linalg.norm(moments[:, 0], axis=1).max()
    most = np.linalg.norm(moments[:, 1:], axis=2).max()
    return Finding(f"{100 * left / most:.3f} % of the largest joint moment", bool(left < 1e-3 * most))


@check(
    name="The joints' power is the change of energy",
    kind="law",
    source="work and energy: the power of the joints' moments is the rate of the kinetic energy",
    expected="the same at every instant of a tuck, an opening and two arm drops",
    tolerance="0.1 % of the greatest power: rates come from splines",
)
def energy_books_balance() -> Finding:
    """Energy is not constant in the air (muscles work); the books must balance all the same."""
    skeleton, found = trial().skeleton, segments()
    moments = moments_at_joints(skeleton, found)
    bending = found.spins[:, 1:] - found.spins[:, skeleton.parents[1:]]
    power = np.einsum("nsi,nsi->n", moments[:, 1:], bending)
    rate = make_interp_spline(found.times, kinetic_energy(skeleton, found), k=5).derivative()(found.times)
    off = np.abs(power - rate)[5:-5].max() / np.abs(rate).max()
    return Finding(
        f"off by {100 * off:.3f} % of the greatest power, {np.abs(rate).max():.1f} W/kg", bool(off < 1e-3)
    )
