"""How far one shape turns in one flight, once worked out for a body and then only arithmetic.

Between closing and opening the shape is held, so a longer flight, a later opening or an earlier closing
only moves time from one inertia to another: the turn is a straight line in momentum and in each of these
times. That is exact for the mechanics' own curves, and makes a whole camp's margins a matter of milliseconds.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import Literal

import numpy as np

from loftbook.ladder.scales import Shape
from loftbook.mechanics import ShapePlan, body, open_tuck, pike, puck, straight, tuck
from loftbook.mechanics.shape import ARMS_DOWN
from loftbook.mechanics.shape import Shape as BodyShape
from loftbook.mechanics.shape_plan import CLOSING, OPENING, closed_by, plan_of
from loftbook.mechanics.turning import turning
from loftbook.units import degree, turn

Table = Literal["female", "male"]
REFERENCE = 1.50  # m; per kilogram everything goes with the square of stature, so any will do
TIME = 1.40  # s, of the flight that is worked out
HIPS = tuple(float(h) for h in range(0, 131, 10))  # degrees of flexion, along the row from straight to tuck


@dataclass(frozen=True)
class Pace:
    """What a shape makes of momentum, for somebody of one metre.

    Units
        per_momentum : s/m²·m² = turns of 2π per unit of momentum over stature squared, in a flight of TIME
        limbs : turns that the limbs' own movement takes; start, held, landing : inertia over stature squared
    """

    per_momentum: float
    limbs: float
    start: float
    held: float
    landing: float

    def reach(self, time: float, *, later: float = 0.0, sooner: float = 0.0) -> float:
        """Turns for each unit of momentum over stature squared.

        Units
            time : s in the air; later : s by which she opens later; sooner : s by which she closes sooner
        """
        more = (time - TIME) / self.held
        more += later * (1 / self.held - 1 / self.landing) + sooner * (1 / self.held - 1 / self.start)
        return self.per_momentum + more / turn

    def turns(self, momentum: float, time: float, *, later: float = 0.0) -> float:
        """Turns in the air with this momentum over stature squared (1/s)."""
        return momentum * self.reach(time, later=later) - self.limbs

    def momentum_for(self, turns: float, time: float) -> float:
        """Momentum over stature squared (1/s) that turns so far in this time."""
        return (turns + self.limbs) / self.reach(time)

    def time_for(self, turns: float, momentum: float) -> float:
        """Time in the air (s) in which this momentum over stature squared turns so far."""
        return TIME + ((turns + self.limbs) / momentum - self.per_momentum) * self.held * turn

    def later_for(self, turns: float, momentum: float, time: float) -> float:
        """By how many seconds later she would have to open, everything else as it is."""
        gain = momentum * (1 / self.held - 1 / self.landing) / turn
        return (turns - self.turns(momentum, time)) / gain if abs(gain) > 1e-9 else float("inf")


def pace(shape: Shape, age: float, table: Table = "female") -> Pace:
    """What a shape of the ladder makes of momentum, at an age.

    Units
        age : years; whole years are told apart below 16, where the head's share of the body still changes
    """
    return _pace(_BODIES[shape], _year(age), table)


def pace_of_hips(age: float, table: Table = "female") -> tuple[Pace, ...]:
    """The same along a row from straight to tuck, for each angle of HIPS: how far must she close?"""
    return tuple(_pace(closed_by(hip * degree), _year(age), table) for hip in HIPS)


def hips_for(turns: float, momentum: float, time: float, paces: Sequence[Pace]) -> float | None:
    """The least flexion of the hips (degrees) that turns so far; None where none of the row does."""
    made = np.array([one.turns(momentum, time) for one in paces])
    enough = np.flatnonzero(made >= turns)
    if not len(enough):
        return None
    n = int(enough[0])
    if n == 0:
        return HIPS[0]
    share = (turns - made[n - 1]) / (made[n] - made[n - 1])
    return HIPS[n - 1] + float(share) * (HIPS[n] - HIPS[n - 1])


_BODIES = {
    Shape.TUCK: tuck(),
    Shape.OPEN_TUCK: open_tuck(),
    Shape.PUCK: puck(),
    Shape.PIKE: pike(),
    Shape.STRAIGHT: straight(arms=ARMS_DOWN),
}


def body_shape(shape: Shape) -> BodyShape:
    """One clear example of a shape of the ladder, as joint angles."""
    return _BODIES[shape]


def _year(age: float) -> int:
    return int(min(max(round(age), 5), 16))


@lru_cache(maxsize=1024)
def _pace(shape: BodyShape, year: int, table: Table) -> Pace:
    plan = plan_of(ShapePlan(shape), TIME)
    somebody = body(REFERENCE, table, age=float(year))
    known = turning(somebody, plan, TIME)
    square = REFERENCE**2
    held = float(np.interp((CLOSING[1] + TIME - OPENING[0]) / 2, known.times, known.inertia))
    return Pace(
        per_momentum=known.per_momentum * square / turn,
        limbs=known.limbs / turn,
        start=float(known.inertia[0]) / square,
        held=held / square,
        landing=float(known.inertia[-1]) / square,
    )
