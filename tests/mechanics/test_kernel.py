"""The compiled heart, held against a second way of working out the same, and its store on disk."""

import subprocess
import sys

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from loftbook.mechanics import Key, Plan, body, curves, pose, straight, tuck
from loftbook.mechanics.folding import fold_for, folded_state
from loftbook.mechanics.kernel import (
    STATE,
    called_by,
    compiled,
    fingerprint,
    read_curves,
    scratch_for,
    shape_state,
)
from loftbook.mechanics.shape import ANGLE_LIMITS
from loftbook.mechanics.tabling import Table, half_way, tabulate

SKELETON = body(1.50, "female", age=12).skeleton
angles = st.tuples(*(st.floats(low, high) for low, high in ANGLE_LIMITS.values()))
rates = st.tuples(*(st.floats(-60, 60),) * len(ANGLE_LIMITS))


def placed(values, speeds):
    """By placing each segment in the pelvis's frame."""
    scratch, state = scratch_for(SKELETON), np.zeros(STATE)
    scratch.values[:], scratch.rates[:] = values, speeds
    shape_state(SKELETON, scratch, state)
    return state


@given(angles, rates)
@settings(deadline=None, max_examples=60)
def test_folding_and_placing_give_the_same_state(values, speeds):
    """Second way: two sums that share no line."""
    scratch, state = scratch_for(SKELETON), np.zeros(STATE)
    scratch.values[:], scratch.rates[:] = values, speeds
    folded_state(SKELETON, scratch, fold_for(SKELETON), state)
    assert np.allclose(state[:15], placed(values, speeds)[:15], rtol=0, atol=3e-14)


@given(angles, angles, st.sets(st.integers(0, len(ANGLE_LIMITS) - 1)))
@settings(deadline=None, max_examples=40)
def test_what_has_not_moved_is_rightly_kept(values, others, movers):
    """Folding again after some joints moved is folding afresh."""
    scratch, fold, state = scratch_for(SKELETON), fold_for(SKELETON), np.zeros(STATE)
    scratch.values[:] = values
    folded_state(SKELETON, scratch, fold, state)
    scratch.changed[:] = False
    for d in movers:
        scratch.changed[d], scratch.values[d] = True, others[d]
    folded_state(SKELETON, scratch, fold, state)
    assert np.allclose(state[:15], placed(scratch.values, np.zeros(18))[:15], rtol=0, atol=1e-14)


@pytest.mark.parametrize("count", [4, 5, 9, 30])
def test_half_way_states_are_exact_for_smooth_curves(count):
    """Law: interpolation through four points is exact for a polynomial of third degree."""
    t = np.arange(count, dtype=float)
    states = np.zeros((count, STATE))
    states[:, :3] = 10.0  # some inertia, so that it can be inverted
    states[:, 6] = 1 + 0.5 * t**3 - 0.2 * t
    middle = np.zeros(STATE)
    for n in range(count - 1):
        assert half_way(states, n, (0, count - 1), middle)
        h = n + 0.5
        assert middle[6] == pytest.approx(1 + 0.5 * h**3 - 0.2 * h, rel=1e-12)
        assert middle[15] == pytest.approx(0.1)


def test_half_way_needs_four_steps_without_a_break():
    assert not half_way(np.ones((3, STATE)), 0, (0, 2), np.zeros(STATE))


@pytest.mark.parametrize("steps", [2, 6, 30, 131])
def test_a_table_holds_the_shapes_of_the_plan(steps):
    """Second way: the shape at each step and half-way, placed afresh; movements begin and end between steps."""
    plan = Plan(
        straight(),
        (
            pose(0.31, tuck(), lead=0.2),
            Key(0.77, {"left_knee": 0.3}, lead=0.123),
            pose(1.2, straight(), lead=0.3),
        ),
    )
    dt = 1.5 / steps
    table = Table(
        np.zeros((steps + 1, STATE)), np.zeros((steps, STATE)), np.zeros(steps, bool), np.zeros(steps, bool)
    )
    prepared = curves(plan)
    tabulate(SKELETON, prepared, 0, dt, table)
    coarse = 3e-4 if steps > 100 else 0.3  # half-way states are interpolated
    for n in range(steps):
        middle = table.on_steps[n] if table.still[n] else table.half_way[n]
        for state, time, near in ((table.on_steps[n + 1], n + 1, 1e-13), (middle, n + 0.5, coarse)):
            scratch, truth = scratch_for(SKELETON), np.zeros(STATE)
            read_curves(prepared, 0, time * dt, scratch)
            shape_state(SKELETON, scratch, truth)
            assert np.allclose(state[:9], truth[:9], rtol=0, atol=near)
    assert table.still.any() == (steps >= 6)


def inner_one(x):
    return x + 1.0


def inner_two(x):
    return x + 2.0


def outer(x):
    return inner(x) * 2.0  # noqa: F821


def test_a_change_in_what_it_calls_changes_the_name_under_which_a_function_is_stored():
    """Numba looks at one file only; numbers of an older version must not come back."""
    names = []
    for changed in (inner_one, inner_two):
        outer.__globals__["inner"] = compiled(changed)
        names.append(fingerprint(outer))
    del outer.__globals__["inner"]
    assert names[0] != names[1]
    assert fingerprint(inner_one) != fingerprint(inner_two)


def test_every_compiled_function_stands_below_those_that_it_calls():
    """Else its fingerprint would not know them."""
    from loftbook.mechanics import folding, kernel, stepping, tabling, winding

    for module in (kernel, folding, tabling, winding, stepping):
        for thing in vars(module).copy().values():
            source = getattr(thing, "py_func", None)
            if source is None or source.__module__ != module.__name__:
                continue
            called = [module.__dict__.get(n) for n in called_by(source)]
            lines = [c.py_func.__code__.co_firstlineno for c in called
                     if hasattr(c, "py_func") and c.py_func.__module__ == module.__name__]  # fmt: skip
            assert all(line < source.__code__.co_firstlineno for line in lines), source.__qualname__


def test_a_second_process_finds_the_kernels_compiled():
    """Cached on disk: a fresh Python flies without compiling, seen in numba's own count of cache hits."""
    code = (
        "from loftbook.mechanics import *; from loftbook.mechanics import stepping\n"
        "fly(body(1.5,'female',age=12), Plan(straight()), TakeOff((0.5,0,0)), duration=1.0)\n"
        "print(sum(stepping.fly_one.stats.cache_hits.values()), sum(stepping.fly_one.stats.cache_misses.values()))"
    )
    runs = [
        subprocess.run([sys.executable, "-c", code], check=True, capture_output=True, text=True)
        for _ in range(2)
    ]
    assert runs[1].stdout.split() == ["1", "0"]


def test_what_is_no_number_is_never_hidden_by_what_comes_after():
    """A batch with one flight that fails must say so, wherever it stands."""
    from loftbook.mechanics import TakeOff, Trust, fly_many, launch_of

    girl = body(1.50, "female", age=12)
    launch = launch_of([TakeOff((0.5, 0, 0))] * 3, 1.0)
    for bad in range(3):
        momenta = launch.momenta.copy()
        momenta[bad] = np.nan  # past the checks at the door, as a fault inside would be
        many = fly_many(girl, curves(Plan(straight())), launch._replace(momenta=momenta), workers=1)
        assert np.isnan(many.error)
        assert many.verdict.trust == Trust.NONE
