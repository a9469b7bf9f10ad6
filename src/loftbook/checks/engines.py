"""The same body in other people's engines: the bridge that the checks of mechanics cross.

Every turn of ours becomes a hinge of theirs, in the same order; masses, centres and inertias are handed over as they
are, for a body of one kilogram without gravity.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import cache
from typing import Any

import numpy as np

from loftbook.checks.places import needed
from loftbook.mechanics.arrays import Array, Curves, Skeleton
from loftbook.mechanics.body import SEGMENT_NAMES, body
from loftbook.mechanics.flight import Flight, spins
from loftbook.mechanics.keys import Key, pose
from loftbook.mechanics.multibody import TakeOff, fly
from loftbook.mechanics.named_shapes import straight, tuck
from loftbook.mechanics.plan import Plan, curves
from loftbook.units import degree

DURATION = 1.5  # s


@dataclass(frozen=True, eq=False)
class Trial:
    """One flight that moves everything: a tuck, and two arms dropped one after the other."""

    skeleton: Skeleton
    curves: Curves
    flight: Flight


@cache
def trial() -> Trial:
    """The flight that all engines are given."""
    one = body(1.6, "female", age=16)
    keys = (
        pose(0.30, tuck(), lead=0.28),
        pose(0.90, straight(), lead=0.30),
        Key(1.15, {"left_arm_abduction": 5 * degree}, lead=0.25),
        Key(1.30, {"right_arm_abduction": 10 * degree, "right_arm_flexion": 20 * degree}, lead=0.25),
    )
    plan = Plan(straight(), keys)
    flight = fly(one, plan, TakeOff((0.75, 0.02, -0.01)), duration=DURATION, steps=4096)
    return Trial(one.skeleton, curves(plan), flight)


def hinges_at(skeleton: Skeleton, given: Curves, times: Array) -> tuple[Array, Array, Array]:
    """Angle, rate and acceleration of every hinge at given times, (N, hinges), not by the kernel."""
    values = np.zeros((3, len(times), skeleton.angle_count))
    for d in range(skeleton.angle_count):
        knots = given.knots[0, given.starts[d] : given.starts[d + 1]]
        k = np.clip(np.searchsorted(knots, times, side="right") - 1, 0, len(knots) - 1)
        g = given.inverse_widths[0, given.starts[d] + k]
        u = np.where((k < len(knots) - 1) & (times > knots[k]), (times - knots[k]) * g, 0.0)
        c = given.coefficients[0, given.starts[d] + k].T
        powers = np.arange(6)
        for order in range(3):
            factors = np.prod([powers - i for i in range(order)], axis=0) if order else np.ones(6)
            terms = [f * c[p] * u ** (p - order) for p, f in zip(powers, factors, strict=True) if p >= order]
            moving = (k < len(knots) - 1) if order else True
            values[order, :, d] = np.where(moving, np.sum(terms, axis=0) * g**order, 0.0)
    a, b, e = values[:, :, skeleton.turn_angle] * skeleton.turn_share
    return a, b, e


def hinges_now(skeleton: Skeleton, given: Curves, time: float) -> tuple[Array, Array, Array]:
    """The same at one time, (hinges,)."""
    a, b, c = hinges_at(skeleton, given, np.array([time]))
    return a[0], b[0], c[0]


def mujoco_model(skeleton: Skeleton, *, step: float = 0.01) -> Any:
    """The body as MuJoCo's model, Runge-Kutta of fourth order, nothing outside it."""
    mujoco = needed("mujoco")
    spec = mujoco.MjSpec()
    spec.option.timestep = step
    spec.option.integrator = mujoco.mjtIntegrator.mjINT_RK4
    spec.option.gravity = [0.0, 0.0, 0.0]
    spec.compiler.boundmass = spec.compiler.boundinertia = 0.0
    made: list[Any] = []
    for i, name in enumerate(SEGMENT_NAMES):
        parent = spec.worldbody if skeleton.parents[i] < 0 else made[skeleton.parents[i]]
        part = parent.add_body(name=name, pos=skeleton.offsets[i], explicitinertial=True)
        part.mass, part.ipos, part.inertia = skeleton.fractions[i], skeleton.centres[i], skeleton.inertias[i]
        if skeleton.parents[i] < 0:
            part.add_freejoint()
        for k in range(skeleton.turn_start[i], skeleton.turn_start[i + 1]):
            part.add_joint(type=mujoco.mjtJoint.mjJNT_HINGE, axis=np.eye(3)[skeleton.turn_axis[k]])
        made.append(part)
    return spec.compile()


def pinocchio_model(skeleton: Skeleton) -> Any:
    """The body as Pinocchio's model; only the hands, which carry nothing further, have no turn of their own."""
    pin = needed("pinocchio")
    model = pin.Model()
    kinds = (pin.JointModelRX, pin.JointModelRY, pin.JointModelRZ)
    joint_of: list[int] = []
    for i, name in enumerate(SEGMENT_NAMES):
        if skeleton.parents[i] < 0:
            joint = model.addJoint(0, pin.JointModelFreeFlyer(), pin.SE3.Identity(), name)
            place = pin.SE3.Identity()
        else:
            joint, place = joint_of[skeleton.parents[i]], pin.SE3(np.eye(3), skeleton.offsets[i])
        for k in range(skeleton.turn_start[i], skeleton.turn_start[i + 1]):
            joint = model.addJoint(joint, kinds[skeleton.turn_axis[k]](), place, f"{name}_{k}")
            place = pin.SE3.Identity()
        inertia = pin.Inertia(skeleton.fractions[i], skeleton.centres[i], np.diag(skeleton.inertias[i]))
        model.appendBodyToJoint(joint, inertia, place)
        joint_of.append(joint)
    return model


def forward_with_mujoco(trial: Trial, *, step: float, tabulated: bool = True) -> Array:
    """Last orientation when MuJoCo moves the free pelvis and only the joints' accelerations are prescribed.

    The torques are worked out afresh in the control callback, so that the sub-steps see them: held over a whole step
    they make the simulation unstable. The plan is read before, at every half step, or by the callback itself.
    """
    mujoco = needed("mujoco")
    model = mujoco_model(trial.skeleton, step=step)
    data = mujoco.MjData(model)
    steps = round(DURATION / step)
    read = _reader(trial, step=step, steps=steps, tabulated=tabulated)
    data.qpos[3:7], data.qvel[3:6] = trial.flight.orientations[0], spins(trial.flight)[0]
    data.qpos[7:], data.qvel[6:], _ = read(0.0)
    basis, product, whole = np.eye(model.nv), np.zeros(model.nv), np.zeros(model.nv)
    columns = np.zeros((6, model.nv))

    def torques(model: Any, data: Any) -> None:
        wanted, speed, push = read(data.time)
        whole[:6], whole[6:] = 0.0, push + 40.0 * (speed - data.qvel[6:]) + 400.0 * (wanted - data.qpos[7:])
        for i in range(6):
            mujoco.mj_mulM(model, data, columns[i], basis[i])
        mujoco.mj_mulM(model, data, product, whole)
        whole[:6] = np.linalg.solve(columns[:, :6], -(product[:6] + data.qfrc_bias[:6]))
        mujoco.mj_mulM(model, data, product, whole)
        data.qfrc_applied[6:] = product[6:] + data.qfrc_bias[6:]

    mujoco.set_mjcb_control(torques)
    try:
        for _ in range(steps):
            mujoco.mj_step(model, data)
    finally:
        mujoco.set_mjcb_control(None)
    return np.array(data.qpos[3:7])


def _reader(
    trial: Trial, *, step: float, steps: int, tabulated: bool
) -> Callable[[float], tuple[Array, Array, Array]]:
    """How the callback learns angles, rates and accelerations at a time."""
    if not tabulated:
        return lambda time: hinges_now(trial.skeleton, trial.curves, time)
    halves = np.arange(2 * steps + 2) * step / 2
    table = hinges_at(trial.skeleton, trial.curves, halves)

    def read(time: float) -> tuple[Array, Array, Array]:
        n = round(2 * time / step)
        return table[0][n], table[1][n], table[2][n]

    return read
