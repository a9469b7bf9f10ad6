"""The same child, taller: how her body and what a somersault asks of it change as she grows."""

from __future__ import annotations

from dataclasses import dataclass, replace
from math import isfinite

from loftbook.errors import RangeError
from loftbook.mechanics.bands import Band, Uncertainty
from loftbook.mechanics.body import Body, body
from loftbook.mechanics.budget import TURNS_IN_THE_AIR, Budget, rotation_budget, turns_made
from loftbook.mechanics.shape_plan import ShapePlan


@dataclass(frozen=True, eq=False)
class Growth:
    """The same child, taller.

    Units
        now, then : budgets; factor : momentum per kilogram needed then over now; by_square : stature ratio squared
        kept : turns with the momentum per kilogram that is just enough now
    """

    now: Budget
    then: Budget
    factor: float
    by_square: float
    kept: Band


def grown(child: Body, *, taller: float, years: float = 0.0) -> Body:
    """The same child, some centimetres taller and perhaps some years older.

    Units
        taller : m; years : how much older, which changes the head's share of a child's body

    Valid
        the same proportions but for the head; own measured lengths grow in step

    Raises
        RangeError for a height that nobody has

    Source
        as `body`

    Example
        >>> from loftbook.mechanics import body
        >>> round(grown(body(1.45, "female", age=11), taller=0.05).stature, 2)
        1.5
    """
    if not isfinite(taller) or abs(taller) > 0.6:
        raise RangeError(f"{taller!r} m taller", "-0.6 to 0.6 m", "give metres: 0.05 for five centimetres")
    stature = child.stature + taller
    usual = body(child.stature, child.sex, age=child.age).lengths
    later = body(stature, child.sex, age=child.age + years).lengths
    own = {
        name: later[name] * length / usual[name]
        for name, length in child.lengths.items()
        if abs(length - usual[name]) > 1e-12
    }
    then = body(stature, child.sex, age=child.age + years, lengths=own)
    return replace(then, longitudinal_uncertainty=child.longitudinal_uncertainty)


def growth(
    child: Body,
    shapes: ShapePlan,
    *,
    flight_time: float,
    taller: float,
    years: float = 0.0,
    turns: float = TURNS_IN_THE_AIR,
) -> Growth:
    """What the same somersault will ask of the same child when she is taller.

    Units
        flight_time : s, the same then; taller : m; years : how much older; turns : wanted in the air

    Valid
        as `grown`. Per kilogram the need grows with the square of stature; a child who takes off in the same
        posture with the same spin brings along just as much more, and turns as far as before.

    Raises
        as `rotation_budget` and `grown`

    Source
        Jensen (1986), Med Sci Sports Exerc 18:440-445: moments of inertia of boys of 5 to 16 follow m h²
        (r = 0.99 and 0.97)

    Example
        >>> from loftbook.mechanics import body, tuck
        >>> girl = body(1.45, "female", age=11)
        >>> round(growth(girl, ShapePlan(tuck()), flight_time=1.4, taller=0.05).by_square, 3)
        1.07
    """
    now = rotation_budget(child, shapes, flight_time=flight_time, turns=turns)
    older = grown(child, taller=taller, years=years)
    then = rotation_budget(older, shapes, flight_time=flight_time, turns=turns)
    kept = turns_made(
        older,
        shapes,
        flight_time=flight_time,
        momentum=now.momentum.middle,
        momentum_uncertainty=0.0,
        unsure=Uncertainty(transverse=0.0, between_shapes=0.0),
    )
    return Growth(
        now, then, then.momentum.middle / now.momentum.middle, (older.stature / child.stature) ** 2, kept
    )
