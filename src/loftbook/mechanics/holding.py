"""What it takes to hold a shape: moments at hips and waist, pull of the hands, over the whole flight.

Loads are multiples of body weight (times stature for moments), so no weight is needed. No norms of hip, trunk or grip
strength for children were found, so nothing here says whether anybody can hold a shape: only what the flight asks, and
how two shapes compare.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import isfinite

import numpy as np
import numpy.typing as npt

from loftbook.errors import PlanError, RangeError
from loftbook.mechanics.arrays import Array
from loftbook.mechanics.ballistic import GRAVITY
from loftbook.mechanics.body import Body
from loftbook.mechanics.budget import check_momentum
from loftbook.mechanics.inertia import shape_in_motion
from loftbook.mechanics.moments import moments_along, moments_held
from loftbook.mechanics.multibody import TakeOff, fly
from loftbook.mechanics.posture import landmarks
from loftbook.mechanics.shape import Shape
from loftbook.mechanics.shape_plan import ShapePlan, plan_of
from loftbook.mechanics.turning import LOPSIDED

STEPS = 256  # of the flight, 6 ms apart: fine enough to see closing and opening
LEAST_LEVER = (
    0.08  # of stature; with less the hands pull past the hip and cannot close it. Assumption, no source
)
FASTEST_SPIN = 40.0  # rad/s, over six turns a second; beyond any somersault
NOTE = (
    "No norms of hip, trunk or grip strength for children were found. These numbers say what the flight asks of "
    "a body, not whether anybody can give it; a qualified person judges that."
)


@dataclass(frozen=True, eq=False)
class Load:
    """One load over time; positive pulls the shape closed.

    Units
        times : (N,) s; course : (N,), moments in body weight x stature, pulls in body weight
        mean : over these times; peak : the most, at peak_time in s; held : mean while the shape is held
        impulse : s, of the closing part alone (course above zero) times time
    """

    times: Array
    course: Array
    mean: float
    peak: float
    peak_time: float
    held: float
    impulse: float


@dataclass(frozen=True, eq=False)
class Holding:
    """What closing, holding and opening a shape ask for in one flight.

    Units
        hip : both hips together, body weight x stature; waist : between pelvis and trunk, the same
        hand : body weight, pull of each hand at mid-shin that would do the hips' work while the shape is held;
        None where the hands cannot help
        held_spin : rad/s; note : what these numbers cannot say
    """

    hip: Load
    waist: Load
    hand: Load | None
    held_spin: float
    note: str = NOTE


@dataclass(frozen=True)
class HeldAt:
    """What a shape asks for at one steady spin.

    Units
        as `Holding`, at one instant
    """

    hip: float
    waist: float
    hand: float | None
    note: str = NOTE


@dataclass(frozen=True)
class Compared:
    """One shape's holding over another's, as ratios: 1.4 is four tenths more.

    Units
        ratios of the means while held, the peaks and the impulses
    """

    hip_held: float
    hip_peak: float
    hip_impulse: float
    waist_held: float
    note: str = NOTE


def holding_at(body: Body, shape: Shape, *, spin: float) -> HeldAt:
    """What hips, waist and hands must pull to hold a shape at a steady spin.

    Units
        spin : rad/s about the left-right axis; returns multiples of body weight x stature, and of body weight

    Valid
        a shape alike on both sides. The hands' pull runs from mid-shin to the shoulder and would take all of the hips'
        work; real hands and hips share it.

    Raises
        RangeError for a spin that nobody has; PlanError for a shape whose sides differ

    Source
        law: m r w² towards the axis; goes with the square of the spin

    Example
        >>> from loftbook.mechanics import body, open_tuck, tuck
        >>> girl = body(1.45, "female", age=11)
        >>> at_ten = holding_at(girl, open_tuck(), spin=10.0)
        >>> round(holding_at(girl, open_tuck(), spin=20.0).hip / at_ten.hip, 6)
        4.0
    """
    if not (isfinite(spin) and abs(spin) <= FASTEST_SPIN):
        raise RangeError(
            f"a spin of {spin!r} rad/s", f"up to {FASTEST_SPIN:g} rad/s", "one turn a second is 6.28"
        )
    _check_even(body, shape)
    hip, waist = moments_held(body, shape, spin)
    lever = _lever(body, shape)
    weight = GRAVITY * body.stature
    pull = None if lever is None else hip / lever / 2 / GRAVITY
    return HeldAt(hip / weight, waist / weight, pull)


def holding(body: Body, shapes: ShapePlan, *, flight_time: float, momentum: float) -> Holding:
    """What closing, holding and opening a shape ask of hips, waist and hands, over a whole flight.

    Units
        flight_time : s; momentum : m²/s per kilogram, backward positive, from `rotation_budget` or a measured flight

    Valid
        no twist. Held values are as good as the body model; peaks while closing and opening are those of the
        smooth curve assumed for the movement, and a real one may be more abrupt. The hand's pull is given while
        the shape is held only.

    Raises
        RangeError for a momentum that nobody has; PlanError when the flight is too short for this plan
        or the two sides of the shape differ

    Source
        law (Newton, Euler) along the flight that `fly` gives

    Example
        >>> from loftbook.mechanics import body, open_tuck
        >>> girl = body(1.45, "female", age=11)
        >>> load = holding(girl, ShapePlan(open_tuck()), flight_time=1.5, momentum=0.6)
        >>> load.hip.peak > load.hip.held > 0
        True
        >>> load.note.startswith("No norms")
        True
    """
    check_momentum(momentum)
    _check_even(body, shapes.shape)
    plan = plan_of(shapes, flight_time)
    flight = fly(body, plan, TakeOff((momentum, 0.0, 0.0)), duration=flight_time, steps=STEPS)
    found = moments_along(body, plan, flight)
    weight = GRAVITY * body.stature
    held = (flight.times >= shapes.closing[1]) & (flight.times <= flight_time - shapes.opening[0])
    if not held.any():
        held[int(np.argmin(np.abs(flight.times - shapes.closing[1])))] = True
    hips = (found.left_hip + found.right_hip)[:, 0]
    lever, closed = _lever(body, shapes.shape), np.ones(int(held.sum()), dtype=bool)
    at = int(np.flatnonzero(held)[held.sum() // 2])
    return Holding(
        hip=_load(flight.times, hips / weight, held),
        waist=_load(flight.times, -found.waist[:, 0] / weight, held),
        hand=None if lever is None else _load(flight.times[held], hips[held] / lever / 2 / GRAVITY, closed),
        held_spin=float(momentum / flight.tensors[at, 0, 0]),
    )


def compare_holding(one: Holding, other: Holding) -> Compared:
    """How much more or less one shape asks for than another.

    Units
        ratios, one over other

    Valid
        as `holding`; compare flights of the same body

    Raises
        RangeError when the other shape asks for nothing, as a straight body does

    Source
        definition

    Example
        >>> from loftbook.mechanics import body, open_tuck, tuck
        >>> girl = body(1.45, "female", age=11)
        >>> shapes = (ShapePlan(open_tuck()), ShapePlan(tuck()))
        >>> opened, closed = (holding(girl, s, flight_time=1.5, momentum=0.6) for s in shapes)
        >>> compare_holding(opened, closed).hip_held < 1
        True
    """
    if not (other.hip.held > 1e-6 and other.waist.held > 1e-6):
        raise RangeError(
            "a shape to compare with that asks nothing of hips or waist",
            "a flexed shape",
            "compare with a tuck, an open tuck or a pike",
        )
    return Compared(
        one.hip.held / other.hip.held,
        one.hip.peak / other.hip.peak,
        one.hip.impulse / other.hip.impulse,
        one.waist.held / other.waist.held,
    )


def _check_even(body: Body, shape: Shape) -> None:
    tensor = shape_in_motion(body, shape).tensor
    if np.abs(tensor[0, 1:]).max() > LOPSIDED * tensor[0, 0]:
        raise PlanError(
            "a shape whose left and right sides differ",
            "both sides alike for a holding load",
            "give both arms and both legs the same angles",
        )


def _load(times: Array, course: Array, held: npt.NDArray[np.bool_]) -> Load:
    top = int(np.argmax(course))
    span = float(times[-1] - times[0])
    mean = float(np.trapezoid(course, times)) / span if span > 0 else float(course[0])
    return Load(
        times=times,
        course=course,
        mean=mean,
        peak=float(course[top]),
        peak_time=float(times[top]),
        held=float(course[held].mean()),
        impulse=float(np.trapezoid(np.maximum(course, 0.0), times)),
    )


def _lever(body: Body, shape: Shape) -> float | None:
    """How far from the hip a pull from mid-shin to the shoulder passes, m, from the side; None when it is no use."""
    points = landmarks(body, shape)
    flat = {name: point[1:] for name, point in points.items()}
    shin = (flat["left_knee"] + flat["left_ankle"]) / 2
    pull = flat["left_shoulder"] - shin
    arm = shin - flat["left_hip"]
    lever = float(arm[0] * pull[1] - arm[1] * pull[0]) / float(np.linalg.norm(pull))
    return lever if lever > LEAST_LEVER * body.stature else None
