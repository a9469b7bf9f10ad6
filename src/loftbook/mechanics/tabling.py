"""Compiled table of a shape's states over a flight: on every step, and half-way between.

A Runge-Kutta step asks for the shape at its start, middle and end. The shape at the middle is worked out only where a
movement begins or ends; elsewhere it is interpolated from the steps around, which costs a fraction of a shape.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
import numpy.typing as npt

from loftbook.mechanics.arrays import Array, Curves, Skeleton
from loftbook.mechanics.folding import fold_for, folded_state
from loftbook.mechanics.kernel import compiled, invert, read_curves, scratch_for

SUMS = 9  # of a state: inertia and relative momentum, which is what turning needs


class Table(NamedTuple):
    """States over N steps.

    Units
        on_steps : (N + 1, STATE); half_way : (N, STATE), filled where not still
        still : (N,) nothing moves during this step; broken : (N,) a movement begins or ends during it
    """

    on_steps: Array
    half_way: Array
    still: npt.NDArray[np.bool_]
    broken: npt.NDArray[np.bool_]


@compiled
def on_steps(skeleton: Skeleton, curves: Curves, row: int, dt: float, table: Table) -> None:
    """Work out the states on every step, and half-way through the broken ones."""
    scratch, fold = scratch_for(skeleton), fold_for(skeleton)
    read_curves(curves, row, 0.0, scratch)
    folded_state(skeleton, scratch, fold, table.on_steps[0])
    last_read_was_half_way = False
    for n in range(table.still.size):
        changed = read_curves(curves, row, (n + 1) * dt, scratch)
        table.broken[n] = scratch.crossed[0]
        table.still[n] = not (changed or table.broken[n] or last_read_was_half_way)
        last_read_was_half_way = False
        if table.still[n]:
            table.on_steps[n + 1] = table.on_steps[n]
            continue
        folded_state(skeleton, scratch, fold, table.on_steps[n + 1])
        if table.broken[n]:
            read_curves(curves, row, (n + 0.5) * dt, scratch)
            folded_state(skeleton, scratch, fold, table.half_way[n])
            last_read_was_half_way = True


@compiled
def weigh(states: Array, first: int, weights: tuple[float, float, float, float], out: Array) -> None:
    """Interpolate from four steps in a row."""
    a, b, c, d = weights
    for i in range(SUMS):
        out[i] = (
            a * states[first, i]
            + b * states[first + 1, i]
            + c * states[first + 2, i]
            + d * states[first + 3, i]
        )


@compiled
def half_way(states: Array, n: int, run: tuple[int, int], out: Array) -> bool:
    """State half-way through step n from the unbroken run of steps run[0] to run[1]; tell whether that was possible.

    Six steps where there are that many, else four; near an end of the run from one side.
    """
    left, right = n - run[0], run[1] - n - 1
    if left >= 2 and right >= 2:
        for i in range(SUMS):
            out[i] = (
                150.0 * (states[n, i] + states[n + 1, i])
                - 25.0 * (states[n - 1, i] + states[n + 2, i])
                + 3.0 * (states[n - 2, i] + states[n + 3, i])
            ) / 256.0
    elif left >= 1 and right >= 1:
        weigh(states, n - 1, (-0.0625, 0.5625, 0.5625, -0.0625), out)
    elif right >= 2:
        weigh(states, n, (0.3125, 0.9375, -0.3125, 0.0625), out)
    elif left >= 2:
        weigh(states, n - 2, (0.0625, -0.3125, 0.9375, 0.3125), out)
    else:
        return False
    invert(out)
    return True


@compiled
def afresh(skeleton: Skeleton, curves: Curves, row: int, time: float, state: Array) -> None:
    """State at one time, with nothing known before."""
    scratch, fold = scratch_for(skeleton), fold_for(skeleton)
    read_curves(curves, row, time, scratch)
    folded_state(skeleton, scratch, fold, state)


@compiled
def tabulate(skeleton: Skeleton, curves: Curves, row: int, dt: float, table: Table) -> None:
    """Fill a table for steps of dt from time zero."""
    on_steps(skeleton, curves, row, dt, table)
    steps, begin = table.still.size, 0
    while begin < steps:
        if table.broken[begin]:
            begin += 1
            continue
        end = begin
        while end < steps and not table.broken[end]:
            end += 1
        for n in range(begin, end):
            if not (table.still[n] or half_way(table.on_steps, n, (begin, end), table.half_way[n])):
                afresh(skeleton, curves, row, (n + 0.5) * dt, table.half_way[n])
        begin = end
