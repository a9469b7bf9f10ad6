"""From key poses to smooth curves: fifth-degree pieces with exact rates, for one plan or thousands alike."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import NamedTuple

import numpy as np
import numpy.typing as npt

from loftbook.errors import PlanError
from loftbook.mechanics.arrays import Array, Curves, Indices
from loftbook.mechanics.body import ANGLE_NAMES
from loftbook.mechanics.keys import Key
from loftbook.units import degrees_from_radians

FASTEST = 100.0  # rad/s, of any joint; common practice, no source: beyond any movement seen in the air
PEAK = 15 / 8  # peak rate of a fifth-degree movement from rest to rest, over its mean rate

Flags = npt.NDArray[np.bool_]


class Slots(NamedTuple):
    """Where each knot of each joint angle comes from; all (K,) but the first and the last.

    An angle has a knot at time zero, and for each key that names it one where the movement begins (when the key has
    a lead) and one where it ends.
    """

    starts: Indices
    angle: Indices
    key: Indices
    lead: Array
    values: Array
    begins: Flags
    through: Flags
    pinned: Mapping[tuple[int, str], int]


def slots_of(start: Array, keys: Sequence[Key]) -> Slots:
    """Lay out the knots of a plan once, so that its variants are plain array arithmetic.

    Units
        start : (18,) rad

    Source
        definition

    Example
        >>> slots_of(np.zeros(18), (Key(0.3, {"left_knee": 1.0}),)).values.sum()
        np.float64(1.0)
    """
    rows: list[tuple[int, int, float, float, bool, bool]] = []
    starts, pinned = [0], {}
    for d, name in enumerate(ANGLE_NAMES):
        rows.append((d, -1, 0.0, float(start[d]), False, False))
        for i, key in enumerate(keys):
            if name not in key.angles:
                continue
            if key.lead is not None:
                rows.append((d, i, key.lead, rows[-1][3], True, False))
            pinned[i, name] = len(rows)
            rows.append((d, i, 0.0, float(key.angles[name]), False, key.through))
        starts.append(len(rows))
    angle, key_number, lead, values, begins, through = (
        np.array(column) for column in zip(*rows, strict=True)
    )
    return Slots(np.array(starts, dtype=np.int64), angle, key_number, lead, values, begins, through, pinned)


def curves_from(slots: Slots, times: Array, targets: Mapping[tuple[int, str], Array]) -> Curves:
    """Curves of all variants of a plan; see `plan.curves`, which checks the arguments.

    Units
        times : (B, keys) s; targets : rad

    Raises
        PlanError when an angle's keys change places or a joint would turn faster than `FASTEST`

    Source
        fifth-degree polynomial with position, rate and acceleration given at both ends

    Example
        >>> slots = slots_of(np.zeros(18), (Key(0.3, {"left_knee": 1.0}),))
        >>> curves_from(slots, np.array([[0.3], [0.31]]), {}).knots.shape
        (2, 19)
    """
    rows = max([len(times), *(np.size(v) for v in targets.values())])
    knots = np.zeros((rows, len(slots.key)))
    keyed = slots.key >= 0
    knots[:, keyed] = times[:, slots.key[keyed]] - slots.lead[keyed]
    begins = np.flatnonzero(slots.begins)
    knots[:, begins] = np.maximum(knots[:, begins], knots[:, begins - 1])
    values = np.repeat(slots.values[None], rows, axis=0)
    for pin, value in targets.items():
        if pin not in slots.pinned:
            raise PlanError(
                f"a target for {pin}", "a key's number and an angle that this key names", "check both"
            )
        values[:, slots.pinned[pin]] = value
    values[:, begins] = values[:, begins - 1]
    return _pieces(slots, knots, values)


def _pieces(slots: Slots, knots: Array, values: Array) -> Curves:
    """Fifth-degree pieces through the values, at rest in each knot that is not flowed through."""
    width = np.zeros_like(knots)
    rise = np.zeros_like(knots)
    inner = slots.angle[1:] == slots.angle[:-1]  # a piece joins two knots of one angle
    width[:, :-1] = np.where(inner, knots[:, 1:] - knots[:, :-1], 0.0)
    rise[:, :-1] = np.where(inner, values[:, 1:] - values[:, :-1], 0.0)
    _check_rates(slots, knots, width, rise)
    inverse = 1.0 / np.where(width > 1e-9, width, 1.0)
    coefficients = np.zeros((*knots.shape, 6))
    coefficients[:, :, 0] = values
    coefficients[:, :, 3] = 10 * rise
    coefficients[:, :, 4] = -15 * rise
    coefficients[:, :, 5] = 6 * rise
    if slots.through.any():
        _flow_through(slots, coefficients, rise * inverse, width)
    moves = np.any(rise != 0.0, axis=0)
    return Curves(
        starts=slots.starts,
        knots=knots,
        coefficients=coefficients,
        inverse_widths=inverse,
        moves=moves,
        stirs=np.logical_or.reduceat(moves, slots.starts[:-1]),
    )


def _flow_through(slots: Slots, coefficients: Array, mean_rates: Array, width: Array) -> None:
    """Give the knots that are flowed through the harmonic mean of both sides' rates: none overshoots."""
    slope = np.zeros_like(width)
    left, right = mean_rates[:, :-1], mean_rates[:, 1:]
    same = (left * right > 0) & slots.through[1:]
    slope[:, 1:] = np.where(same, 2 * left * right / np.where(same, left + right, 1.0), 0.0)
    d0 = slope * width
    d1 = np.roll(slope, -1, axis=1) * width
    coefficients[:, :, 1] += d0
    coefficients[:, :, 3] -= 6 * d0 + 4 * d1
    coefficients[:, :, 4] += 8 * d0 + 7 * d1
    coefficients[:, :, 5] -= 3 * d0 + 3 * d1


def _check_rates(slots: Slots, knots: Array, width: Array, rise: Array) -> None:
    """Refuse keys that change places, and movements that no joint can make."""
    wrong = ~(width >= 0)
    if wrong.any():
        name = ANGLE_NAMES[slots.angle[np.argwhere(wrong)[0][1]]]
        raise PlanError(
            f"two keys of {name} that change places", "each angle's keys in order", "move one of them"
        )
    mean = np.where(rise != 0.0, np.abs(rise) / np.where(width > 0, width, 1e-300), 0.0)
    if np.any(PEAK * mean > FASTEST):
        b, k = np.unravel_index(int(np.argmax(mean)), mean.shape)
        name, angle = ANGLE_NAMES[slots.angle[k]], degrees_from_radians(abs(float(rise[b, k])))
        raise PlanError(
            f"{name} turning {angle:.0f}° in {width[b, k]:.4f} s at {knots[b, k]:.3f} s",
            f"a peak of at most {FASTEST:g} rad/s in any joint",
            "give the movement more time, or leave one of its two keys out",
        )
