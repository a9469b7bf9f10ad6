"""Searching for forgiving timings, and what budgets and bands cost."""

from collections.abc import Callable
from math import nan

from benchmarks.registry import Row, bench, median_of, seconds
from loftbook.mechanics import (
    Correction,
    Seen,
    ShapePlan,
    barani_out,
    body,
    carried_over,
    corrected_band,
    enough_for,
    full_in,
    full_out,
    half_in_half_out,
    holding,
    landing_band,
    open_tuck,
    rotation_budget,
    sensitivities,
    solve_landing,
    tuck,
    twist_from,
    with_arms,
)
from loftbook.mechanics.body import Body
from loftbook.mechanics.named_shapes import straight
from loftbook.mechanics.shape import ARMS_DOWN, ARMS_UP
from loftbook.mechanics.twist_solving import Solved
from loftbook.mechanics.twist_technique import Technique
from loftbook.units import degrees_from_radians

TIME, SEEDS = 1.5, (1, 2, 3)
MAKERS: tuple[Callable[..., Technique], ...] = (full_out, full_in, half_in_half_out, barani_out)


def girl() -> Body:
    """The body of every figure here: 1.60 m, 15 years."""
    return body(1.60, "female", age=15)


def searched(technique: Technique) -> tuple[list[float], list[Solved]]:
    """How long the search takes from several seeds, and what it finds."""
    found: list[Solved] = []
    took = [
        seconds(lambda s=seed: found.append(solve_landing(girl(), technique, seed=s)))  # type: ignore[misc]
        for seed in SEEDS
    ]
    return took, found


def middle(values: list[float]) -> float:
    """The median of an odd number of values; not a number when there is none."""
    return sorted(values)[len(values) // 2] if values else nan


@bench(
    "mechanics twist search",
    "a robust timing found, flights of 1.5 s, noise 10 ms, 2 %, 0.5°; medians of 3 seeds",
)
def search() -> list[Row]:
    """Seconds, and the spread of twist at landing over 400 flights that the search never saw."""
    rows: list[Row] = []
    solve_landing(girl(), barani_out(girl(), flight_time=TIME), seed=1, starts=4)  # stored kernels are read
    for make in MAKERS:
        technique = make(girl(), flight_time=TIME)
        took, found = searched(technique)
        name = technique.name
        spreads = [degrees_from_radians(one.band.twist_spread) for one in found]
        perfect = [
            degrees_from_radians(one.perfect_spread) for one in found if one.perfect_spread is not None
        ]
        rows += [
            Row(f"{name}: found in", middle(took), "s", target=10.0 if make is full_out else None),
            Row(f"{name}: slowest of the seeds", max(took), "s", target=10.0 if make is full_out else None),
            Row(f"{name}: flights flown for it", middle([float(one.flights) for one in found]), ""),
            Row(f"{name}: spread of twist at landing", middle(spreads), "°"),
            Row(f"{name}: spread of the most exact single timing", middle(perfect), "°"),
            Row(
                f"{name}: share within a quarter twist",
                100 * middle([one.band.quarter for one in found]),
                "%",
            ),
        ]
    return rows


@bench("mechanics twist bands", "what one question about a twist costs once a technique is there")
def bands() -> list[Row]:
    """Milliseconds."""
    one = girl()
    technique = full_out(one, flight_time=TIME)
    correction = Correction("arm down", sensed_at=0.85)
    before, after = straight(), with_arms(straight(), left=ARMS_DOWN, right=ARMS_UP)
    return [
        Row(
            "landing band of 400 flights", 1e3 * median_of(lambda: landing_band(one, technique, seed=1)), "ms"
        ),
        Row("sensitivities, all", 1e3 * median_of(lambda: sensitivities(one, technique)), "ms"),
        Row(
            "correction fitted and shown on 400 flights",
            1e3 * median_of(lambda: corrected_band(one, technique, correction, seed=1), repeats=3),
            "ms",
        ),
        Row(
            "tilt and twist of one arm, with its band",
            1e3 * median_of(lambda: twist_from(one, before, after, momentum=0.9)),
            "ms",
        ),
    ]


@bench("mechanics budget", "what one question about momentum or holding costs")
def budgets() -> list[Row]:
    """Milliseconds."""
    one, closed, opened = girl(), ShapePlan(tuck()), ShapePlan(open_tuck())
    seen = Seen(closed, flight_time=TIME)
    asked = {
        "budget with its band": lambda: rotation_budget(one, opened, flight_time=TIME),
        "what carries over to the next shape": lambda: carried_over(one, seen, opened, flight_time=TIME),
        "what would be enough": lambda: enough_for(one, opened, flight_time=TIME, momentum=0.5),
        "holding over a whole flight": lambda: holding(one, opened, flight_time=TIME, momentum=0.5),
    }
    return [Row(name, 1e3 * median_of(question), "ms") for name, question in asked.items()]
