"""From what was seen to what comes next: enough momentum for another shape, and what would make it enough.

A gymnast keeps much the same angular momentum from one flight to the next. So a flight in one shape that was seen, with
its time and its turns, says how far the same momentum would carry her in a more open shape. Nothing here says that
anybody should try it: that is for a qualified coach who sees her.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from math import isfinite

import numpy as np

from loftbook.errors import PlanError, RangeError
from loftbook.mechanics.arrays import Array
from loftbook.mechanics.bands import COVERAGE, Band, Case, Uncertainty, bands_of
from loftbook.mechanics.body import Body
from loftbook.mechanics.budget import (
    TURNS_IN_THE_AIR,
    check_momentum,
    check_turns,
    rotation_budget,
    turning_of,
)
from loftbook.mechanics.flight import Flight
from loftbook.mechanics.rotation import matrix
from loftbook.mechanics.shape import Shape
from loftbook.mechanics.shape_plan import ShapePlan, closed_by
from loftbook.mechanics.turning import momentum_for, turned
from loftbook.units import degree, degrees_from_radians, turn

# Relative standard uncertainty of a momentum fitted to a flight: in marker capture its size varies by 2 to 3 %
FITTED = 0.03
LONGEST_TRIED = 3.0  # s; nobody who asks is in the air for longer
MOST_CLOSED = 130 * degree


@dataclass(frozen=True)
class Seen:
    """A flight that somebody saw or measured: in which shape, how long, how far round.

    Units
        flight_time : s; turns : turns of the body in the air, backward positive
        turns_uncertainty : turns, standard; a trunk angle read from film at take-off and landing is good to some 10°

    Raises
        RangeError for no turns or more than five

    Example
        >>> from loftbook.mechanics import tuck
        >>> Seen(ShapePlan(tuck()), flight_time=1.4, turns=1.75).turns_uncertainty
        0.04
    """

    shapes: ShapePlan
    flight_time: float
    turns: float = TURNS_IN_THE_AIR
    turns_uncertainty: float = 0.04

    def __post_init__(self) -> None:
        """Refuse turns that nobody makes."""
        check_turns(self.turns)
        if not (isfinite(self.turns_uncertainty) and 0 <= self.turns_uncertainty < 1):
            raise RangeError(f"turns_uncertainty of {self.turns_uncertainty!r}", "0 to 1 turn", "give turns")


@dataclass(frozen=True)
class Carried:
    """How far a momentum that was seen would carry her in the next shape.

    Units
        momentum : m²/s per kilogram; turns : turns in the next shape and time
        over : turns more than wanted, negative is short whichever way she turns
        share : of the momentum wanted, 1 is just enough
        sentence : the same in words
    """

    momentum: float
    turns: Band
    over: Band
    share: float
    sentence: str


@dataclass(frozen=True)
class Enough:
    """What would be enough at this momentum: each alone, the rest unchanged.

    Units
        momentum : m²/s per kilogram that this shape and time need; held_spin : rad/s in the shape, with that momentum
        flight_time : s in this shape; hip : rad of flexion in this time, on the row of shapes that was tried
        None where nothing in the range tried is enough; sentence says so
    """

    momentum: float
    held_spin: float
    flight_time: float | None
    hip: float | None
    sentence: str


def carried_over(
    body: Body,
    seen: Seen | Flight,
    shapes: ShapePlan,
    *,
    flight_time: float,
    turns: float = TURNS_IN_THE_AIR,
    unsure: Uncertainty | None = None,
) -> Carried:
    """She kept this momentum: would the next shape get round in this time, and how far short or over?

    Units
        seen : a flight seen in another shape, or one fitted to film; shapes, flight_time : the next; flight_time in s
        turns : wanted in the air

    Valid
        the same momentum per kilogram in both flights, no twist in the next. Inertia that the model has wrong
        in all shapes alike cancels, since the momentum was worked out with the same body; what stays is the
        ratio of the two shapes.

    Raises
        RangeError for turns that nobody makes; PlanError when a flight is too short for its plan

    Source
        law: angular momentum is kept in the air. That it is much the same from flight to flight is common practice

    Example
        >>> from loftbook.mechanics import body, open_tuck, tuck
        >>> girl = body(1.45, "female", age=11)
        >>> seen = Seen(ShapePlan(tuck()), flight_time=1.4)
        >>> carried_over(girl, seen, ShapePlan(open_tuck()), flight_time=1.4).over.middle < 0
        True
    """
    check_turns(turns)
    unsure = unsure or Uncertainty()
    case = Case(body, shapes, flight_time, turns)
    way = 1.0 if turns > 0 else -1.0  # short is short in a forward somersault too

    def answer(one: Case) -> Array:
        made = turned(turning_of(one), _momentum_of(seen, one) / one.other_shape) / turn
        return np.array([made, (made - one.turns) * way])

    parts = {"momentum seen": np.full(2, _effect_of_seen(seen, case, unsure))}
    made, over = bands_of(answer, case, unsure, more=parts)
    momentum = _momentum_of(seen, case)
    share = momentum / _momentum_needed(case)
    sentence = (
        f"With the momentum of the flight that was seen she would turn {made.middle:.2f} times "
        f"({made.least:.2f} to {made.most:.2f}) in {flight_time:.2f} s, where {turns:g} are wanted: "
        f"{_short_or_over(over)}."
    )
    return Carried(momentum, made, over, share, sentence)


def enough_for(
    body: Body,
    shapes: ShapePlan,
    *,
    flight_time: float,
    momentum: float,
    turns: float = TURNS_IN_THE_AIR,
    row: Callable[[float], Shape] = closed_by,
) -> Enough:
    """What would be enough: a longer flight, a more closed shape, or more spin?

    Units
        flight_time : s; momentum : m²/s per kilogram that she has, backward positive; turns : wanted in the air
        row : shapes by hip flexion in rad, from 0 to 130°, along which a more closed shape is looked for

    Valid
        middle values without their bands: ask `rotation_budget` for those. Each change alone, the rest as it is.

    Raises
        RangeError for a momentum or turns that nobody has, or that go opposite ways

    Source
        law, as `rotation_budget`

    Example
        >>> from loftbook.mechanics import body, open_tuck
        >>> girl = body(1.45, "female", age=11)
        >>> found = enough_for(girl, ShapePlan(open_tuck()), flight_time=1.4, momentum=0.48)
        >>> found.flight_time > 1.4 and found.momentum > 0.48
        True
    """
    check_momentum(momentum)
    check_turns(turns)
    if momentum * turns < 0:
        raise RangeError(
            f"a momentum of {momentum:g} m²/s per kilogram for {turns:g} turns",
            "both backward (positive) or both forward (negative)",
            "check the signs",
        )
    budget = rotation_budget(body, shapes, flight_time=flight_time, turns=turns)
    case = Case(body, shapes, flight_time, turns)

    def missing(one: Case) -> float:
        made = turned(turning_of(one), momentum) / turn
        return (made - turns) * (1.0 if turns > 0 else -1.0)

    shortest = shapes.closing[1] + shapes.opening[0] + 1e-9
    time = _first_root(
        lambda T: missing(replace(case, flight_time=T)), np.linspace(shortest, LONGEST_TRIED, 25)
    )
    hip = _first_root(
        lambda angle: missing(replace(case, shapes=replace(shapes, shape=row(angle)))),
        np.linspace(0.0, MOST_CLOSED, 27),
    )
    return Enough(
        budget.momentum.middle,
        budget.held_spin.middle,
        time,
        hip,
        _enough_sentence(momentum / budget.momentum.middle, time, hip),
    )


def _momentum_of(seen: Seen | Flight, case: Case) -> float:
    """Momentum of what was seen, as this case's body has it: a wrong body is wrong in both flights."""
    if isinstance(seen, Flight):
        size = float(np.linalg.norm(seen.momentum))
        right = matrix(seen.orientations[0])[:, 0]  # backward is about her right, whichever way she faces
        return size if seen.momentum @ right >= 0 else -size
    return _momentum_needed(Case(case.body, seen.shapes, seen.flight_time, seen.turns))


def _momentum_needed(case: Case) -> float:
    return momentum_for(turning_of(case), case.turns * turn)


def _effect_of_seen(seen: Seen | Flight, case: Case, unsure: Uncertainty) -> float:
    """Turns by which the next flight moves for one standard uncertainty of what was seen."""
    if isinstance(seen, Flight):
        spread = abs(_momentum_of(seen, case)) * FITTED
    else:
        there = Case(case.body, seen.shapes, seen.flight_time, seen.turns)
        reading = replace(unsure, transverse=0.0, between_shapes=0.0, turns=seen.turns_uncertainty)
        (band,) = bands_of(lambda one: np.array([_momentum_needed(one)]), there, reading)
        spread = (band.most - band.middle) / COVERAGE
    return spread * turning_of(case).per_momentum / turn


def _first_root(missing: Callable[[float], float], tried: Array) -> float | None:
    """The least of the values tried at which nothing is missing any more, sharpened; None if there is none."""
    from scipy.optimize import brentq

    before: float | None = None
    for value in tried:
        try:
            left = missing(float(value))
        except PlanError:
            before = None
            continue
        if left >= 0:
            return float(value) if before is None else float(brentq(missing, before, float(value), xtol=1e-6))
        before = float(value)
    return None


def _short_or_over(over: Band) -> str:
    def words(turns: float) -> str:
        return f"{abs(turns):.2f} {'over' if turns >= 0 else 'short'}"

    return f"{words(over.middle)} ({words(over.least)} to {words(over.most)})"


def _enough_sentence(share: float, time: float | None, hip: float | None) -> str:
    by_time = (
        f"a flight of {time:.2f} s would be"
        if time is not None
        else f"no flight of up to {LONGEST_TRIED:g} s would be"
    )
    by_hip = (
        f"hips flexed to {degrees_from_radians(hip):.0f}° would be"
        if hip is not None
        else f"no shape closed to {degrees_from_radians(MOST_CLOSED):.0f}° at the hips would be"
    )
    return (
        f"There is {100 * share:.0f} % of the momentum that this shape needs in this time. "
        f"Enough, each alone: {by_time}; in this time {by_hip}."
    )
