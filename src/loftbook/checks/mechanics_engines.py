"""Our flight against two engines that others wrote: MuJoCo and Pinocchio."""

from __future__ import annotations

import numpy as np

from loftbook.checks.engines import forward_with_mujoco, hinges_now, mujoco_model, pinocchio_model, trial
from loftbook.checks.places import needed
from loftbook.checks.registry import Finding, check
from loftbook.mechanics.arrays import Array
from loftbook.mechanics.flight import spins
from loftbook.mechanics.rotation import angle_between
from loftbook.units import degree, degrees_from_radians

INSTANTS = 60


def instants() -> Array:
    """Numbers of the instants that are handed over."""
    return np.linspace(0, len(trial().flight.times) - 1, INSTANTS).astype(int)


@check(
    name="MuJoCo finds our angular momentum in our flight",
    kind="second engine",
    source="MuJoCo, subtree_angmom of the whole body",
    expected="the momentum that the flight was given, at each instant",
    tolerance="1e-12 of it: rounding",
)
def mujoco_momentum() -> Finding:
    """Positions and rates of every joint go over; the momentum comes back."""
    mujoco, flight, skeleton = needed("mujoco"), trial().flight, trial().skeleton
    model = mujoco_model(skeleton)
    data, worst, rates = mujoco.MjData(model), 0.0, spins(flight)
    for n in instants():
        angles, speeds, _ = hinges_now(skeleton, trial().curves, float(flight.times[n]))
        data.qpos[3:7], data.qpos[7:] = flight.orientations[n], angles
        data.qvel[3:6], data.qvel[6:] = rates[n], speeds
        mujoco.mj_forward(model, data)
        mujoco.mj_subtreeVel(model, data)
        worst = max(worst, float(np.linalg.norm(data.subtree_angmom[1] - flight.momentum)))
    worst /= float(np.linalg.norm(flight.momentum))
    return Finding(f"off by {worst:.1e} of it at most", worst < 1e-12)


@check(
    name="Pinocchio finds our angular momentum in our flight",
    kind="second engine",
    source="Pinocchio, computeCentroidalMomentum",
    expected="the momentum that the flight was given, at each instant",
    tolerance="1e-12 of it: rounding",
)
def pinocchio_momentum() -> Finding:
    """As with MuJoCo; the two know nothing of each other."""
    pin, flight, skeleton = needed("pinocchio"), trial().flight, trial().skeleton
    model = pinocchio_model(skeleton)
    data, worst, rates = model.createData(), 0.0, spins(flight)
    for n in instants():
        angles, speeds, _ = hinges_now(skeleton, trial().curves, float(flight.times[n]))
        scalar_last = np.roll(flight.orientations[n], -1)
        q = np.concatenate([np.zeros(3), scalar_last, angles])
        v = np.concatenate([np.zeros(3), rates[n], speeds])
        found = pin.computeCentroidalMomentum(model, data, q, v).angular
        worst = max(worst, float(np.linalg.norm(found - flight.momentum)))
    worst /= float(np.linalg.norm(flight.momentum))
    return Finding(f"off by {worst:.1e} of it at most", worst < 1e-12)


@check(
    name="MuJoCo, flying the same plan by itself, lands as we do",
    kind="second engine",
    source="MuJoCo, forward dynamics of the free body with prescribed joint accelerations, Runge-Kutta steps of 10 ms",
    expected="our orientation after 1.5 s of flight",
    tolerance="0.02°: the accuracy that a flight is asked to have",
)
def mujoco_landing() -> Finding:
    """Its equations of motion, its integrator; only the plan of the joints is ours."""
    landed = forward_with_mujoco(trial(), step=0.01)
    off = float(angle_between(landed, trial().flight.orientations[-1]))
    return Finding(f"{degrees_from_radians(off):.4f}° apart", off < 0.02 * degree)
