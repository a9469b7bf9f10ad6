"""Flights of a body whose joints move as planned, with nothing but gravity outside.

Gravity turns nothing about the mass centre, so the angular momentum stays what it was at take-off.
"""

from __future__ import annotations

from collections.abc import Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from math import isfinite

import numpy as np

from loftbook.errors import RangeError, ShapeError
from loftbook.mechanics.arrays import Array, Curves, Launch
from loftbook.mechanics.body import Body
from loftbook.mechanics.flight import Flight, Trust, Verdict
from loftbook.mechanics.inertia import tensors
from loftbook.mechanics.plan import Plan, curves
from loftbook.mechanics.rotation import UPRIGHT, unit
from loftbook.units import degree, degrees_from_radians

ACCURACY = 0.01 * degree
FEWEST_STEPS, MOST_STEPS = 64, 8192
LONGEST = 10.0  # s; nobody is in the air for longer: 10 s are a fall from 120 m


@dataclass(frozen=True)
class TakeOff:
    """What the body leaves the bed with: momentum and where it points.

    Units
        momentum : (3,) m²/s per kilogram of body mass, in space: to the right (backward somersault), forward, up
        (twist to the left). A tilt or a twist at take-off is a turn of the body against this momentum.
        orientation : quaternion w x y z, pelvis to space; upright and facing forward when left out

    Example
        >>> TakeOff(momentum=(0.6, 0, 0)).orientation
        (1.0, 0.0, 0.0, 0.0)
    """

    momentum: Sequence[float] | Array
    orientation: Sequence[float] | Array = UPRIGHT


@dataclass(frozen=True, eq=False)
class Landings:
    """Where many flights end, and their turns on the way.

    Units
        orientations : (B, 4) quaternions at the end
        times : (N + 1,) fraction of each flight gone by
        somersault, tilt, twist : (B, N + 1) rad about the principal axes; somersault and twist count whole
        turns
        error : rad, estimated numerical error of orientation, the largest of the batch
    """

    orientations: Array
    times: Array
    somersault: Array
    tilt: Array
    twist: Array
    error: float
    verdict: Verdict


def fly(
    body: Body,
    plan: Plan,
    take_off: TakeOff,
    *,
    duration: float,
    accuracy: float = ACCURACY,
    steps: int | None = None,
) -> Flight:
    """Fly a plan: where does the body point at each instant, and when it lands?

    Units
        duration : s; accuracy : rad, the steps are doubled until the estimated error is smaller
        steps : a fixed number instead; the error is estimated all the same

    Valid
        no air, no contact, joints that move exactly as planned. Twist at landing answers strongly to small changes of
        momentum and timing: show bands, not one flight.

    Raises
        RangeError for a negative or endless flight or a momentum that nobody has

    Source
        law: H is constant in space and H = R (J Omega + h); Runge-Kutta of fourth order, with the leading error taken
        out by comparing N with N/2 steps (Richardson). The error stated is that of the uncorrected path, a fifteenth
        of the difference: more than the corrected one has.

    Example
        >>> from loftbook.mechanics import Plan, body, straight
        >>> girl = body(1.45, "female", age=11)
        >>> flight = fly(girl, Plan(straight()), TakeOff(momentum=(0.8, 0, 0)), duration=1.2)
        >>> flight.verdict.trust == "good"
        True
    """
    _check_duration(duration)
    launch = launch_of([take_off], duration)
    prepared = curves(plan)
    count = FEWEST_STEPS if steps is None else max(2, steps + steps % 2)
    while True:
        path, error = _orientations(body, prepared, launch, count)
        if steps is not None or error <= accuracy or count >= MOST_STEPS:
            break
        count *= 2
    return _flight(body, prepared, launch, path, (error, accuracy))


def fly_many(body: Body, prepared: Curves, launch: Launch, *, steps: int = 128, workers: int = 2) -> Landings:
    """Fly many plans or momenta at once: for bands of landings and for searching.

    Units
        prepared : from `curves`, one row or one for each flight; launch : likewise, from `launch_of`
        steps : of each flight, whatever it lasts; workers : threads; as many as there are cores is quickest

    Valid
        as `fly`

    Raises
        ShapeError when the batch's parts have different numbers of rows; RangeError for an odd number of steps

    Source
        as `fly`; the error is the largest of the batch

    Example
        >>> import numpy as np
        >>> from loftbook.mechanics import Plan, body, curves, straight
        >>> girl = body(1.45, "female", age=11)
        >>> momenta = np.array([[0.7, 0, 0], [0.8, 0, 0]])
        >>> many = fly_many(girl, curves(Plan(straight())), launch_of(momenta, 1.2))
        >>> bool(many.somersault[1, -1] > many.somersault[0, -1])
        True
    """
    rows = _rows(prepared, launch)
    if steps < 2 or steps % 2:
        raise RangeError(f"{steps} steps", "an even number from 2 on", "128 is good for a flight of 1.5 s")
    orientations, angles, error = _fly_all(body, prepared, launch, (rows, steps), workers)
    return Landings(
        orientations=orientations,
        times=np.linspace(0, 1, steps + 1),
        somersault=angles[:, :, 0],
        tilt=angles[:, :, 1],
        twist=angles[:, :, 2],
        error=error,
        verdict=_verdict(error, 0.1 * degree),
    )


def launch_of(
    take_offs: Sequence[TakeOff] | Array, duration: float | Array, *, start: Array | None = None
) -> Launch:
    """How a batch of flights begins.

    Units
        take_offs : a list of `TakeOff`, or momenta (B, 3) in m²/s; duration : s, one or (B,)
        start : quaternions (B, 4) or (4,), with momenta given as an array; upright when None

    Raises
        ShapeError, RangeError naming what is wrong

    Source
        definition

    Example
        >>> launch_of([TakeOff(momentum=(0.6, 0, 0))], 1.4).momenta.shape
        (1, 3)
    """
    if isinstance(take_offs, np.ndarray):
        momenta, starts = take_offs, np.asarray(UPRIGHT if start is None else start, dtype=float)
    else:
        momenta = np.array([t.momentum for t in take_offs], dtype=float)
        starts = np.array([t.orientation for t in take_offs], dtype=float)
    momenta = np.atleast_2d(np.asarray(momenta, dtype=float))
    if momenta.shape[1:] != (3,):
        raise ShapeError(f"momentum has shape {momenta.shape}; expected (flights, 3): right, forward, up.")
    if not np.all(np.isfinite(momenta)) or np.any(np.abs(momenta) > 10):
        worst = float(np.max(np.abs(momenta)))
        raise RangeError(
            f"a momentum of {worst:.3g} m²/s per kilogram",
            "finite numbers up to 10; a double straight has about 1.3",
            "divide the momentum in kg m²/s by the body's mass",
        )
    durations = np.atleast_1d(np.asarray(duration, dtype=float))
    for d in (durations.min(), durations.max()):
        _check_duration(float(d))
    return Launch(np.ascontiguousarray(momenta), np.ascontiguousarray(np.atleast_2d(unit(starts))), durations)


def compile_kernels() -> None:
    """Compile now all that a first flight would wait for, once for each installation; it is kept on disk.

    Units
        none

    Source
        definition

    Example
        >>> compile_kernels()
    """
    from loftbook.mechanics.body import body
    from loftbook.mechanics.inertia import inertia
    from loftbook.mechanics.named_shapes import straight

    one = body(1.5, "female", age=12)
    inertia(one, straight())
    fly(one, Plan(straight()), TakeOff((0.5, 0, 0)), duration=1.0)
    fly_many(one, curves(Plan(straight())), launch_of([TakeOff((0.5, 0, 0))], 1.0), steps=2)


def _check_duration(duration: float) -> None:
    if not (isfinite(duration) and 0 < duration <= LONGEST):
        raise RangeError(
            f"a flight lasts {duration!r} s; expected more than 0 and at most {LONGEST:g} s. Give seconds."
        )


def _rows(prepared: Curves, launch: Launch) -> int:
    sizes = {"plans": len(prepared.knots), "momenta": len(launch.momenta), "starts": len(launch.starts)}
    sizes["durations"] = len(launch.durations)
    rows = max(sizes.values())
    if any(n not in (1, rows) for n in sizes.values()):
        raise ShapeError(f"the batch has {sizes}; expected one row or {rows} rows of each.")
    return rows


def _orientations(body: Body, prepared: Curves, launch: Launch, steps: int) -> tuple[Array, float]:
    from loftbook.mechanics.stepping import fly_one

    orientations, angles = np.empty((steps + 1, 4)), np.empty((steps + 1, 3))
    error = fly_one(body.skeleton, prepared, launch, 0, orientations, angles)
    return orientations, float(error)


def _flight(
    body: Body, prepared: Curves, launch: Launch, orientations: Array, known: tuple[float, float]
) -> Flight:
    from loftbook.mechanics.kernel import STATE
    from loftbook.mechanics.stepping import states_at

    times = np.linspace(0, float(launch.durations[0]), len(orientations))
    states = np.empty((len(times), STATE))
    states_at(body.skeleton, prepared, 0, times, states)
    return Flight(
        times=times,
        orientations=orientations,
        momentum=launch.momenta[0],
        tensors=tensors(states),
        relative_momenta=states[:, 6:9],
        mass_centres=states[:, 9:12],
        error=known[0],
        verdict=_verdict(*known),
        longitudinal_uncertainty=body.longitudinal_uncertainty,
    )


def _verdict(error: float, accuracy: float) -> Verdict:
    found = f"Halving the steps moves the orientation by {degrees_from_radians(15 * error):.3g}°"
    if not isfinite(error):
        return Verdict(
            Trust.NONE, "The calculation did not end in numbers; no result is given. Check the plan."
        )
    about = f"the error is about {degrees_from_radians(error):.2g}°"
    if error <= accuracy:
        return Verdict(Trust.GOOD, f"{found}, so {about}.")
    return Verdict(
        Trust.DOUBTFUL,
        f"{found}: {about}, more than the {degrees_from_radians(accuracy):.2g}° asked for. "
        "Use more steps, or a plan that moves less abruptly.",
    )


def _fly_all(
    body: Body, prepared: Curves, launch: Launch, size: tuple[int, int], workers: int
) -> tuple[Array, Array, float]:
    """Last orientations (B, 4), angles (B, N + 1, 3) and the largest error, on several threads."""
    from loftbook.mechanics.stepping import fly_rows

    rows, steps = size
    orientations, angles = np.empty((rows, 4)), np.empty((rows, steps + 1, 3))
    parts = np.array_split(np.arange(rows), max(1, min(workers, -(-rows // 32))))
    if len(parts) == 1:
        return (
            orientations,
            angles,
            float(fly_rows(body.skeleton, prepared, launch, parts[0], orientations, angles)),
        )
    with ThreadPoolExecutor(len(parts)) as pool:
        jobs = [
            pool.submit(fly_rows, body.skeleton, prepared, launch, p, orientations, angles) for p in parts
        ]
    return orientations, angles, float(np.max([job.result() for job in jobs]))
