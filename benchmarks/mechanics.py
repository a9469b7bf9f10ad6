"""How quick a flight is, how true it is at that speed, and how both grow."""

from __future__ import annotations

import subprocess
import sys
import tempfile
from collections.abc import Callable

import numpy as np

from benchmarks.registry import Row, bench, median_of, ratio_of
from loftbook.checks.engines import DURATION, Trial, forward_with_mujoco, mujoco_model, trial
from loftbook.checks.places import needed
from loftbook.mechanics import (
    Key,
    Plan,
    TakeOff,
    body,
    curves,
    fly,
    fly_many,
    launch_of,
    pose,
    straight,
    tuck,
)
from loftbook.mechanics.arrays import Array, Skeleton
from loftbook.mechanics.body import ANGLE_NAMES
from loftbook.mechanics.flight import spins
from loftbook.mechanics.rotation import angle_between
from loftbook.units import degree, degrees_from_radians

WANTED = 0.02 * degree
GIRL = body(1.60, "female", age=16)


def once(one: Trial, steps: int) -> Callable[[], Array]:
    """The compiled flight alone, called from Python: last orientation and the turns on the way."""
    from loftbook.mechanics.stepping import fly_one

    launch = launch_of([TakeOff(one.flight.momentum, one.flight.orientations[0])], DURATION)
    orientations, angles = np.empty((steps + 1, 4)), np.empty((steps + 1, 3))

    def run() -> Array:
        fly_one(one.skeleton, one.curves, launch, 0, orientations, angles)
        return np.asarray(orientations[-1])

    return run


def often(run: Callable[[], object], times: int) -> Callable[[], None]:
    """The same call many times, to last as long as what it is held against: a busy machine slows both alike."""

    def runs() -> None:
        for _ in range(times):
            run()

    return runs


def bare_steps(one: Trial, step: float) -> Callable[[], object]:
    """MuJoCo's own steps of the same body in C, without prescribing its joints: less than a flight would cost it."""
    mujoco = needed("mujoco")
    model = mujoco_model(one.skeleton, step=step)
    data = mujoco.MjData(model)

    def run() -> None:
        mujoco.mj_resetData(model, data)
        data.qvel[3:6] = spins(one.flight)[0]
        mujoco.mj_step(model, data, nstep=round(DURATION / step))

    return run


def off(one: Trial, landed: Array) -> float:
    """How far an orientation is from the true one, rad."""
    return float(angle_between(landed, one.flight.orientations[-1]))


def fewest(tried: tuple[int, ...], error: Callable[[int], float]) -> int:
    """The fewest steps that keep to the accuracy wanted, and every finer number tried with them."""
    good = [error(n) <= WANTED for n in tried]
    return next(n for i, n in enumerate(tried) if all(good[i:]))


@bench(
    "mechanics flight",
    "one flight of 1.5 s (tuck, two arms dropped), both engines no further than 0.02° from the truth",
)
def flight() -> list[Row]:
    """Ours against MuJoCo's bare C steps and against MuJoCo driven from Python, at equal accuracy, in turns."""
    one = trial()
    steps = fewest(tuple(range(48, 152, 8)), lambda n: off(one, once(one, n)()))
    theirs_at = fewest(
        (60, 75, 90, 105, 120, 150, 200), lambda n: off(one, forward_with_mujoco(one, step=DURATION / n))
    )
    step = DURATION / theirs_at
    ours, theirs = once(one, steps), bare_steps(one, step)
    driven = {t: lambda t=t: forward_with_mujoco(one, step=step, tabulated=t) for t in (False, True)}
    plan = Plan(straight(), (pose(0.30, tuck(), lead=0.28), pose(0.90, straight(), lead=0.30)))
    start = TakeOff((0.75, 0.02, -0.01))
    return [
        Row(f"off after {steps} steps of ours", degrees_from_radians(off(one, ours())), "°", 0.02),
        Row(
            f"off after {theirs_at} steps of MuJoCo, plan prescribed",
            degrees_from_radians(off(one, driven[True]())),
            "°",
            0.02,
        ),
        Row("ours", 1e6 * median_of(ours, repeats=101), "µs"),
        Row("MuJoCo's bare C steps", 1e6 * median_of(theirs, repeats=31), "µs"),
        Row(
            "ours, as a share of MuJoCo's bare C steps",
            ratio_of(often(ours, 32), theirs, repeats=31) / 32,
            "",
            1 / 30,
        ),
        Row(
            "ours, as a share of MuJoCo driven from Python",
            ratio_of(often(ours, 4000), driven[False], repeats=5) / 4000,
            "",
            1 / 1000,
        ),
        Row(
            "  the same, the plan tabulated beforehand",
            ratio_of(often(ours, 500), driven[True], repeats=7) / 500,
            "",
        ),
        Row(
            "the public fly(), error estimated to 0.01°",
            1e6 * median_of(lambda: fly(GIRL, plan, start, duration=1.5)),
            "µs",
        ),
    ]


@bench(
    "mechanics batch", "10,000 flights with noise of 10 ms in each key and 2 % in momentum, on two threads"
)
def batch() -> list[Row]:
    """From the plan to the landings, curves included."""
    plan = Plan(
        straight(),
        (
            pose(0.30, tuck(), lead=0.28),
            pose(0.90, straight(), lead=0.30),
            Key(1.15, {"left_arm_abduction": 5 * degree}, lead=0.25),
            Key(1.30, {"right_arm_abduction": 10 * degree}, lead=0.25),
        ),
    )
    rng = np.random.default_rng(1)
    times = np.array([k.time for k in plan.keys]) + rng.normal(0, 0.010, (10_000, len(plan.keys)))
    momenta = np.array([0.75, 0.0, 0.0]) * rng.normal(1, 0.02, (10_000, 1))

    def run() -> float:
        launch = launch_of(momenta, DURATION)
        return fly_many(GIRL, curves(plan, times=times), launch, steps=104, workers=2).error

    return [
        Row("10,000 flights", median_of(run, repeats=3), "s", 3.0),
        Row("estimated error, the largest of all", degrees_from_radians(run()), "°"),
    ]


def fresh(code: str, **environment: str) -> Callable[[], object]:
    """A call that runs a line in a fresh Python."""
    import os

    return lambda: subprocess.run([sys.executable, "-c", code], check=True, env=os.environ | environment)


@bench("mechanics start", "a fresh Python until mechanics is there, and until a first flight has landed")
def start() -> list[Row]:
    """Nobody waits for a compiler twice."""
    first = (
        "from loftbook.mechanics import Plan, TakeOff, body, fly, straight\n"
        "fly(body(1.5, 'female', age=12), Plan(straight()), TakeOff((0.5, 0, 0)), duration=1.0)"
    )
    bare = median_of(fresh("pass"), repeats=5)
    imported = median_of(fresh("import loftbook.mechanics"), repeats=5)
    flown = median_of(fresh(first), repeats=5)
    with tempfile.TemporaryDirectory() as empty:
        compiled = median_of(fresh(first, NUMBA_CACHE_DIR=empty), repeats=1, warm=0)
    return [
        Row("import loftbook.mechanics", imported - bare, "s", 0.5),
        Row("import and a first flight, kernels from the store", flown - bare, "s"),
        Row("import and a first flight ever, compiling", compiled - bare, "s"),
    ]


def chain(segments: int) -> Skeleton:
    """A chain of equal segments, each turning on the one before."""
    numbers = np.arange(segments)
    return Skeleton(
        parents=numbers - 1,
        offsets=np.tile([0.0, 0.0, -0.1], (segments, 1)),
        centres=np.tile([0.0, 0.0, -0.05], (segments, 1)),
        fractions=np.full(segments, 1 / segments),
        inertias=np.full((segments, 3), 0.001 / segments),
        turn_start=np.concatenate([[0], numbers]).astype(np.int64),
        turn_axis=(numbers[1:] % 3).astype(np.int64),
        turn_angle=(numbers[1:] % len(ANGLE_NAMES)).astype(np.int64),
        turn_share=np.full(segments - 1, 0.2),
        angle_count=len(ANGLE_NAMES),
    )


@bench("mechanics growth", "what a flight costs with more segments, more steps, more flights")
def growth() -> list[Row]:
    """Everything in the body moves for the whole flight, so that nothing is kept from the step before."""
    from dataclasses import replace

    moving = curves(Plan(straight(), (pose(1.5, tuck(), lead=1.5),)))
    launch = launch_of([TakeOff((0.75, 0, 0))], DURATION)

    def cost(one: Skeleton, steps: int, flights: int) -> float:
        many = launch._replace(momenta=np.repeat(launch.momenta, flights, axis=0))
        who = replace(GIRL, skeleton=one)
        return median_of(lambda: fly_many(who, moving, many, steps=steps, workers=1), repeats=5)

    few, many = cost(GIRL.skeleton, 100, 100), cost(GIRL.skeleton, 100, 1000)
    rows = [
        Row(f"a chain of {n} segments, 100 steps", 1e4 * cost(chain(n), 100, 100), "µs")
        for n in (4, 8, 16, 32, 64)
    ]
    rows += [
        Row(f"16 segments, {n} steps", 1e4 * cost(GIRL.skeleton, n, 100), "µs") for n in (50, 100, 200, 400)
    ]
    return [
        *rows,
        Row("100 flights, each", 1e4 * few, "µs"),
        Row("1,000 flights, each", 1e3 * many, "µs"),
        Row("10,000 flights, each", 1e2 * cost(GIRL.skeleton, 100, 10_000), "µs"),
    ]
