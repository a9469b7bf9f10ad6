"""Twist from arms and the timings that the search finds, against closed forms, symmetry and other engines."""

from __future__ import annotations

from functools import cache

import numpy as np
from scipy.spatial.transform import Rotation

from loftbook.checks.engines import DURATION, Trial, forward_with_mujoco, hinges_at, pinocchio_model
from loftbook.checks.places import needed
from loftbook.checks.registry import Finding, check
from loftbook.mechanics.body import body
from loftbook.mechanics.counts import count_turns
from loftbook.mechanics.flight import Flight, rigid_energy
from loftbook.mechanics.inertia import principal
from loftbook.mechanics.keys import pose
from loftbook.mechanics.multibody import TakeOff, fly
from loftbook.mechanics.named_shapes import bent
from loftbook.mechanics.plan import Plan, curves
from loftbook.mechanics.rigid import phase_of_period, turning_period
from loftbook.mechanics.rotation import angle_between
from loftbook.mechanics.shape import ARMS_DOWN, ARMS_UP, Shape, with_arms
from loftbook.mechanics.twist_arms import BEGIN, twist_from
from loftbook.mechanics.twist_doubles import full_out
from loftbook.mechanics.twist_flights import take_off_of
from loftbook.mechanics.twist_solving import Solved, solve_landing
from loftbook.mechanics.twist_technique import Technique
from loftbook.mechanics.twist_variants import mirrored
from loftbook.units import degree, degrees_from_radians, turn

GIRL = body(1.60, "female", age=16)
LASTING = 0.25  # s for one arm to come down
MOMENTUM = 0.9  # m²/s


@cache
def found() -> Solved:
    """A full-out as the search finds it, for the duration that the engines are made for."""
    return solve_landing(GIRL, full_out(GIRL, flight_time=DURATION), seed=1, starts=8)


def flown(technique: Technique) -> Flight:
    """The flight of a technique, finely stepped."""
    return fly(GIRL, technique.plan, take_off_of(technique), duration=technique.flight_time, steps=2048)


def arm_down(hip: float) -> tuple[Shape, Shape]:
    """Arms overhead, and the left one down, hips flexed by so much and knees straight."""
    shape = bent(hip=hip, knee=0.0)
    return (
        with_arms(shape, left=ARMS_UP, right=ARMS_UP),
        with_arms(shape, left=ARMS_DOWN, right=ARMS_UP),
    )


@check(
    name="MuJoCo flies the full-out that the search found and lands with the same twist",
    kind="second engine",
    source="MuJoCo, forward dynamics of the free body with prescribed joint accelerations, Runge-Kutta steps of 5 ms",
    expected="our orientation at landing, after one full twist",
    tolerance="0.1°: ten times what one flight is asked for, since a twist makes small differences large",
)
def mujoco_lands_the_full_out() -> Finding:
    """Its equations of motion and its integrator; only the joints' plan and the take-off are ours."""
    technique = found().technique
    flight = flown(technique)
    trial = Trial(GIRL.skeleton, curves(technique.plan), flight)
    off = float(angle_between(forward_with_mujoco(trial, step=0.005), flight.orientations[-1]))
    twists = count_turns(flight).twists
    return Finding(
        f"{degrees_from_radians(off):.4f}° apart after {twists:.2f} twists",
        off < 0.1 * degree and twists > 0.8,
    )


@check(
    name="Without any somersault, one arm tilts the body as another engine says",
    kind="second engine",
    source="Pinocchio, computeCentroidalMomentum of the moving arm and of the whole body about the forward axis",
    expected="our tilt after one arm came down in a straight body with hardly any momentum",
    tolerance="0.03°: three times what a flight is asked for, since ours is ten seconds long here",
)
def tilt_of_one_arm() -> Finding:
    """Nothing turns at first, so what the arm carries one way the body must carry the other."""
    pin, skeleton = needed("pinocchio"), GIRL.skeleton
    model = pinocchio_model(skeleton)
    data = model.createData()
    before, after = arm_down(0.0)
    plan = Plan(before, (pose(BEGIN + LASTING, after, lead=LASTING),))
    step = LASTING / 1000
    times = np.linspace(BEGIN + step / 2, BEGIN + LASTING - step / 2, 1000)
    hinges, rates, _ = hinges_at(skeleton, curves(plan), times)
    turned = Rotation.identity()
    for q, v in zip(hinges, rates, strict=True):
        pin.ccrba(model, data, np.concatenate([np.zeros(6), [1.0], q]), np.zeros(model.nv))
        spin = -np.linalg.solve(data.Ag[3:, 3:6], data.Ag[3:, 6:] @ v)
        turned = turned * Rotation.from_rotvec(spin * step)
    axis = turned.apply(principal(np.array(data.Ig.inertia))[1][:, 0])
    theirs = float(np.arctan2(axis[0], np.hypot(axis[1], axis[2])))
    ours = twist_from(GIRL, before, after, momentum=1e-6).tilt.middle
    said = f"{degrees_from_radians(ours):.3f}° and {degrees_from_radians(theirs):.3f}°"
    return Finding(said, abs(ours - theirs) < 0.03 * degree)


@check(
    name="Twists per somersault after one arm came down are those of Euler's top",
    kind="law",
    source="period by the elliptic integral (Landau and Lifshitz, Mechanics, § 37, from memory) and phase by "
    "Montgomery (1991, from memory) of the shape that is then held",
    expected="one twist in each period, and the somersault that belongs to it, at hips of 0, 20 and 40°",
    tolerance="0.5 % of the rate: ours is counted over whole half twists of a flight",
)
def rate_after_one_arm() -> Finding:
    """Moments and energy at the end of the movement go into the closed form; the flight is not looked at again."""
    worst, said = 0.0, []
    for hip in (0.0, 20 * degree, 40 * degree):
        before, after = arm_down(hip)
        plan = Plan(before, (pose(BEGIN + LASTING, after, lead=LASTING),))
        made = twist_from(GIRL, before, after, momentum=MOMENTUM)
        law = _rate_of_top(plan)
        worst = max(worst, abs(made.per_somersault.middle / law - 1))
        said.append(f"{made.per_somersault.middle:.3f} and {law:.3f}")
    return Finding("; ".join(said), worst < 0.005)


@check(
    name="The mirror image of a twisting flight is a flight",
    kind="law",
    source="symmetry of the laws of motion",
    expected="the same somersault, twist and tilt the other way at every instant",
    tolerance="1e-9 rad: rounding",
)
def mirror() -> Finding:
    """Left and right exchanged in the plan found for the full-out."""
    one, other = (count_turns(flown(t)) for t in (found().technique, mirrored(found().technique)))
    worst = max(
        float(np.abs(a - b).max())
        for a, b in ((one.somersault, other.somersault), (one.tilt, -other.tilt), (one.twist, -other.twist))
    )
    return Finding(f"{worst:.1e} rad apart at most", worst < 1e-9)


def _rate_of_top(plan: Plan) -> float:
    """Twists per somersault of the body frozen at the end of a plan's movement, by closed forms alone."""
    flight = fly(GIRL, plan, TakeOff((MOMENTUM, 0.0, 0.0)), duration=BEGIN + LASTING, steps=1024)
    moments = principal(flight.tensors[-1])[0]
    energy = float(rigid_energy(flight)[-1])
    period = turning_period(moments, momentum=MOMENTUM, energy=energy)
    phase = phase_of_period(moments, momentum=MOMENTUM, energy=energy)
    # the phase is known but for whole turns; about as far as a round body would turn says how many
    about = MOMENTUM * period / float(moments[1:].mean())
    whole = round((about - phase) / turn)
    return turn / (phase + whole * turn)
