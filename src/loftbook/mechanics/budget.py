"""What a somersault asks for: momentum and spin, for a body, a shape and a time in the air.

Everything is per kilogram of body mass. Angular momentum is nearly always the part that a gymnast brings along from one
shape to the next, so the questions are: how much does this shape need, how much was there, and how far would that go?
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from math import isfinite

import numpy as np

from loftbook.errors import RangeError
from loftbook.mechanics.arrays import Array
from loftbook.mechanics.bands import Band, Case, Uncertainty, bands_of
from loftbook.mechanics.body import Body
from loftbook.mechanics.shape_plan import ShapePlan, plan_of
from loftbook.mechanics.turning import Turning, momentum_for, turned, turning
from loftbook.units import turn

# Real trampoline doubles turned about 1.6 to 1.9 in the air: the lean at take-off and at landing makes up the rest.
# Measured on recorded flights of one gymnast, windows extrapolated; the middle is taken.
TURNS_IN_THE_AIR = 1.75
MOST_TURNS = 5.0


@dataclass(frozen=True, eq=False)
class Budget:
    """What this body needs to turn this far in this shape and this time.

    Units
        momentum : m²/s per kilogram, backward positive; by_stature : 1/s, momentum over stature squared, which lets
        children of unlike height be compared
        mean_spin : rad/s, turn over time; held_spin : rad/s in the shape; peak_spin : rad/s, most of the whole flight
        times : (N,) s; spin : (N,) rad/s, momentum over inertia; inertia : (N,) m²
        turns, flight_time : turns and s, as asked for
    """

    momentum: Band
    by_stature: Band
    mean_spin: Band
    held_spin: Band
    peak_spin: Band
    times: Array
    spin: Array
    inertia: Array
    turns: float
    flight_time: float


def rotation_budget(
    body: Body,
    shapes: ShapePlan,
    *,
    flight_time: float,
    turns: float = TURNS_IN_THE_AIR,
    unsure: Uncertainty | None = None,
) -> Budget:
    """How much momentum and spin a somersault in this shape needs in this time.

    Units
        flight_time : s; turns : turns of the pelvis in the air, backward positive, 1.75 unless said otherwise: what
        real doubles turn between the last and the first touch, not 2

    Valid
        no twist, both sides alike. With a trunk as straight at landing as at take-off, the pelvis's turn is
        the trunk's.

    Raises
        RangeError for no turns or more than five; PlanError when the flight is too short for this plan

    Source
        law: H = J Omega + h. Turns in the air: measured on recorded trampoline doubles, 1.6 to 1.9

    Example
        >>> from loftbook.mechanics import body, open_tuck, tuck
        >>> girl = body(1.45, "female", age=11)
        >>> closed = rotation_budget(girl, ShapePlan(tuck()), flight_time=1.5)
        >>> opened = rotation_budget(girl, ShapePlan(open_tuck()), flight_time=1.5)
        >>> closed.momentum.middle < opened.momentum.middle
        True
    """
    check_turns(turns)
    case = Case(body, shapes, flight_time, turns)
    momentum, by_stature, mean, held, peak = bands_of(_needs, case, unsure or Uncertainty())
    known = turning_of(case)
    return Budget(
        momentum=momentum,
        by_stature=by_stature,
        mean_spin=mean,
        held_spin=held,
        peak_spin=peak,
        times=known.times,
        spin=momentum.middle / known.inertia,
        inertia=known.inertia,
        turns=turns,
        flight_time=flight_time,
    )


def turns_made(
    body: Body,
    shapes: ShapePlan,
    *,
    flight_time: float,
    momentum: float,
    momentum_uncertainty: float = 0.05,
    unsure: Uncertainty | None = None,
) -> Band:
    """How far she would turn in this shape and time with this momentum.

    Units
        flight_time : s; momentum : m²/s per kilogram, backward positive; momentum_uncertainty : relative, standard
        returns turns

    Valid
        as `rotation_budget`, for a momentum known from elsewhere than this body model (marker capture, say).
        When it was itself worked out from turns seen in another shape, `margins.carried_over` knows better:
        there most of the inertia's uncertainty cancels

    Raises
        RangeError for a momentum that nobody has or an uncertainty that is none; PlanError as `rotation_budget`

    Source
        law, as `rotation_budget`

    Example
        >>> from loftbook.mechanics import body, tuck
        >>> band = turns_made(body(1.45, "female", age=11), ShapePlan(tuck()), flight_time=1.5, momentum=0.5)
        >>> 1.5 < band.middle < 2.5
        True
    """
    check_momentum(momentum)
    if not (isfinite(momentum_uncertainty) and 0 <= momentum_uncertainty < 1):
        raise RangeError(
            f"a momentum_uncertainty of {momentum_uncertainty!r}", "0 to 1", "give it relative: 0.05 for 5 %"
        )
    unsure = replace(unsure or Uncertainty(), turns=0.0)
    case = Case(body, shapes, flight_time, 0.0)
    per_part = turned(turning_of(case), momentum * (1 + momentum_uncertainty)) - turned(
        turning_of(case), momentum
    )
    (band,) = bands_of(
        lambda c: np.array([turned(turning_of(c), momentum / c.inertia / c.other_shape) / turn]),
        case,
        unsure,
        more={"momentum": np.array([per_part / turn])},
    )
    return band


def check_momentum(momentum: float) -> None:
    """Refuse a momentum that no body has, naming the likely slip.

    Units
        momentum : m²/s per kilogram

    Raises
        RangeError

    Source
        a double straight of an adult has about 1.3

    Example
        >>> check_momentum(0.6)
    """
    if not (isfinite(momentum) and 0 < abs(momentum) <= 10):
        raise RangeError(
            f"a momentum of {momentum!r} m²/s per kilogram",
            "a number other than 0, up to 10; a double straight has about 1.3",
            "divide the momentum in kg m²/s by the body's mass",
        )


def check_turns(turns: float) -> None:
    """Refuse turns that nobody makes.

    Units
        turns : turns

    Raises
        RangeError

    Source
        common practice: quadruple somersaults are the most that is shown

    Example
        >>> check_turns(1.75)
    """
    if not (isfinite(turns) and 0 < abs(turns) <= MOST_TURNS):
        raise RangeError(
            f"{turns!r} turns", f"a number other than 0, up to {MOST_TURNS:g}", "give turns, not degrees"
        )


def turning_of(case: Case) -> Turning:
    """What a case's plan does with momentum.

    Units
        as `turning.turning`

    Source
        law, as there

    Example
        >>> from loftbook.mechanics import body, tuck
        >>> turning_of(Case(body(1.5, "female", age=12), ShapePlan(tuck()), 1.5, 1.75)).per_momentum > 0
        True
    """
    return turning(case.body, plan_of(case.shapes, case.flight_time), case.flight_time)


def _needs(case: Case) -> Array:
    """Momentum, momentum by stature, mean, held and peak spin of one case."""
    known = turning_of(case)
    momentum = momentum_for(known, case.turns * turn)
    between = (case.shapes.closing[1] + case.flight_time - case.shapes.opening[0]) / 2
    in_shape = float(np.interp(between, known.times, known.inertia))
    factor = case.inertia * case.other_shape
    return np.array(
        [
            momentum * factor,
            momentum * factor / case.body.stature**2,
            case.turns * turn / case.flight_time,
            momentum / in_shape,
            momentum / known.inertia.min(),
        ]
    )
