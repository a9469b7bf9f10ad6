"""Where a plan lands when arms and momentum are never quite as meant: a fan of outcomes, never one."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from itertools import pairwise
from typing import Any

import numpy as np

from loftbook.desk.lab.fan_words import (
    NINETY_FIVE,
    build_words,
    decides_most,
    facing,
    key_words,
    lands,
    round_by,
    spread,
    strays,
)
from loftbook.desk.lab.numbers import number, part, whole
from loftbook.desk.lab.planned import LabPlan
from loftbook.mechanics import Body, Noise, Plan, curves, fly_many, launch_of, thicker
from loftbook.mechanics.arrays import Array
from loftbook.mechanics.rotation import from_vector, multiply
from loftbook.mechanics.twist_technique import CLOSEST, EARLIEST
from loftbook.units import degrees_from_radians, millisecond, radians_from_degrees, turn

COUNT, SEED, STEPS = 500, 1, 96
COUNTS = (20, 2000)
QUARTER = turn / 4
STEP = 10 * millisecond  # by which each movement alone is early and late
# 10 ms and 2 % are what the lab is asked to show; common practice, no source
USUAL = Noise(timing=10 * millisecond, momentum=0.02, tilt=0.0)


@dataclass(frozen=True, eq=False)
class Fan:
    """Many landings of one plan, as differences from its aim, or from itself where none is set.

    Units
        twist, somersault, tilt : (B,) rad at landing; planned : (3,) the flight as planned, the same three
        early, late : (keys, 3) rad, by how much each movement alone, STEP early or late, moves the landing
        leaner, stouter : rad, by how much the landing's twist moves with her inertia about the long axis
    """

    twist: Array
    somersault: Array
    tilt: Array
    planned: Array
    early: Array
    late: Array
    leaner: float
    stouter: float
    noise: Noise
    seed: int
    aimed: bool

    @property
    def within_quarter(self) -> float:
        """Share of the flights that land within a quarter twist."""
        return float(np.mean(np.abs(self.twist) < QUARTER))


def fan(lab: LabPlan, *, noise: Noise = USUAL, count: int = COUNT, seed: int = SEED) -> Fan:
    """Fly a plan many times, each movement early or late by itself, the momentum larger or smaller."""
    keys = len(lab.plan.keys)
    half = np.random.default_rng(seed).standard_normal((-(-count // 2), keys + 2))
    drawn = np.concatenate([half, -half])[:count]  # in pairs, so that the mean is as meant
    alone = np.eye(keys) * STEP
    moved = np.concatenate([noise.timing * drawn[:, :keys], np.zeros((1, keys)), -alone, alone])
    extra = np.zeros((1 + 2 * keys, 2))
    others = np.concatenate([drawn[:, keys:] * [noise.momentum, noise.tilt], extra])
    body = lab.person.body
    found = _landed(body, lab, moved, others)
    aim, planned = lab.aim, found[count]
    wanted = planned if aim is None else np.array([aim.twists * turn, 0.0, aim.somersaults * turn])
    still = np.zeros((1, keys)), np.zeros((1, 2))
    stout = [
        _landed(thicker(body, longitudinal=1 + s * body.longitudinal_uncertainty), lab, *still)[0, 0]
        for s in (-1, 1)
    ]
    off = found[:count] - wanted
    return Fan(
        twist=off[:, 0],
        somersault=off[:, 2],
        tilt=found[:count, 1],
        planned=planned - wanted * [1, 0, 1],
        early=found[count + 1 : count + 1 + keys] - planned,
        late=found[count + 1 + keys :] - planned,
        leaner=float(stout[0] - planned[0]),
        stouter=float(stout[1] - planned[0]),
        noise=noise,
        seed=seed,
        aimed=aim is not None,
    )


def fan_of(lab: LabPlan, asked: Mapping[str, Any]) -> dict[str, Any]:
    """The fan as JSON values; `asked` may name noise, count and seed.

    Raises PlanError or RangeError in words for noise that nobody has.
    """
    given: Mapping[str, Any] = {} if asked.get("noise") is None else part(asked, "noise")
    noise = Noise(
        timing=number(given, "timing_ms", (0.0, 100.0), 1e3 * USUAL.timing) * millisecond,
        momentum=number(given, "momentum_percent", (0.0, 20.0), 100 * USUAL.momentum) / 100,
        tilt=radians_from_degrees(number(given, "tilt_deg", (0.0, 10.0), 0.0)),
    )
    count = whole(asked, "count", COUNTS, COUNT)
    return fan_json(fan(lab, noise=noise, count=count, seed=whole(asked, "seed", (0, 2**31), SEED)), lab)


def fan_json(one: Fan, lab: LabPlan) -> dict[str, Any]:
    """A fan as JSON values, in degrees."""
    return {
        "version": 1,
        "count": len(one.twist),
        "seed": one.seed,
        "noise": {
            "timing_ms": round(1e3 * one.noise.timing, 3),
            "momentum_percent": round(100 * one.noise.momentum, 3),
            "tilt_deg": _deg(one.noise.tilt),
        },
        "off": "the aim" if one.aimed else "the flight as planned",
        "landings": {
            "twist_off_deg": _degs(one.twist),
            "somersault_off_deg": _degs(one.somersault),
            "tilt_deg": _degs(one.tilt),
        },
        "bands": {"twist": _band(one.twist), "somersault": _band(one.somersault), "tilt": _band(one.tilt)},
        "within_a_quarter_twist": round(one.within_quarter, 4),
        "more_than_half_a_twist": strays(one.twist),
        "movements": [
            {
                "key": k,
                "name": key_words(lab, k),
                "time_s": round(key.time, 4),
                "early": _moved(one.early[k]),
                "late": _moved(one.late[k]),
            }
            for k, key in enumerate(lab.plan.keys)
        ],
        "long_axis": {
            "unsure_by": lab.person.body.longitudinal_uncertainty,
            "leaner_twist_deg": _deg(one.leaner),
            "stouter_twist_deg": _deg(one.stouter),
        },
        "sentence": fan_words(one, lab),
    }


def fan_words(one: Fan, lab: LabPlan) -> str:
    """What the fan says, for somebody who does not see it."""
    about = "the aim" if one.aimed else "the flight as planned"
    parts = (
        f"{len(one.twist)} flights of this plan, each movement by itself about {1e3 * one.noise.timing:.0f} ms early "
        f"or late and the spin about {100 * one.noise.momentum:.0f} % more or less.",
        lands(one.twist, one.somersault, about),
        decides_most(lab, one.early, one.late),
        build_words(one.leaner, one.stouter, lab.person.body.longitudinal_uncertainty),
    )
    return " ".join(part for part in parts if part)


def _moved(by: Array) -> dict[str, Any]:
    """What a movement's ten milliseconds do: turned about the long axis where she twists, else how far round."""
    return {"twist_deg": _deg(by[0]), "somersault_deg": _deg(by[2]), "words": moved_words(by)}


def moved_words(by: Array) -> str:
    """The same in words, from the change of twist, tilt and somersault at landing (rad)."""
    turned, come = facing(float(by[0])), round_by(float(by[2]))
    if turned != "straight":
        return turned
    return "no change" if come == "just round" else come


def _landed(body: Body, lab: LabPlan, late: Array, other: Array) -> Array:
    """(B, 3) rad at landing: twist made, tilt, somersault made; `other` holds relative momentum and tilt."""
    rows = len(late)
    times = _in_order(lab.plan, np.array([[key.time for key in lab.plan.keys]]) + late)
    momenta = np.zeros((rows, 3))
    momenta[:, 0] = lab.momentum * (1 + other[:, 0])
    zero = np.zeros(rows)
    start = multiply(
        from_vector(np.stack([zero, lab.tilt + other[:, 1], zero], axis=1)),
        from_vector(np.array([0.0, 0.0, lab.twist]))[None],
    )
    flown = fly_many(
        body, curves(lab.plan, times=times), launch_of(momenta, lab.duration, start=start), steps=STEPS
    )
    return np.stack(
        [
            flown.twist[:, -1] - flown.twist[:, 0],
            flown.tilt[:, -1],
            flown.somersault[:, -1] - flown.somersault[:, 0],
        ],
        axis=1,
    )


def _in_order(plan: Plan, times: Array) -> Array:
    """Keys of one joint stay in order, and no quicker than planned where they are close together."""
    meant = np.array([key.time for key in plan.keys])
    times = np.maximum(times, np.minimum(meant, EARLIEST)) if len(meant) else times
    for name in {name for key in plan.keys for name in key.angles}:
        hers = [n for n, key in enumerate(plan.keys) if name in key.angles]
        for before, after in pairwise(hers):
            gap = min(CLOSEST, meant[after] - meant[before])
            times[:, after] = np.maximum(times[:, after], times[:, before] + gap)
    return times


def _band(values: Array) -> dict[str, float]:
    """Least and most hold 95 of 100; the spread is half of the middle two thirds, which strays do not move."""
    least, most = np.quantile(values, NINETY_FIVE)
    return {
        "least_deg": _deg(float(least)),
        "middle_deg": _deg(float(np.median(values))),
        "most_deg": _deg(float(most)),
        "spread_deg": _deg(spread(values)),
    }


def _degs(values: Array) -> list[float]:
    found: list[float] = (np.round(np.degrees(values), 1) + 0.0).tolist()
    return found


def _deg(angle: float) -> float:
    return round(degrees_from_radians(float(angle)), 2) + 0.0
