"""How far a somersault without twist turns with a given momentum: two integrals over its shape.

About the left-right axis H = J Omega + h, so the turn is H times the integral of 1/J, less the integral of h/J. Both
integrals depend on shape and timing alone: the turn is a straight line in H, and nothing has to be tried out.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from loftbook.errors import PlanError
from loftbook.mechanics.arrays import Array
from loftbook.mechanics.body import Body
from loftbook.mechanics.plan import Plan, curves

POINTS = 257  # of Simpson's rule; against 2049 points the turn moves by less than 1e-6 of it
LOPSIDED = 1e-6  # of J, the most that a body may be unlike on its two sides


@dataclass(frozen=True, eq=False)
class Turning:
    """Inertia and limb momentum about the left-right axis over a flight.

    Units
        times : (N,) s; inertia : (N,) m²; carried : (N,) m²/s, momentum of the moving limbs
        per_momentum : rad per m²/s; limbs : rad, what the limbs' own movement takes from the pelvis's turn
    """

    times: Array
    inertia: Array
    carried: Array
    per_momentum: float
    limbs: float


def turning(body: Body, plan: Plan, flight_time: float) -> Turning:
    """What a plan does with momentum: how far the pelvis turns per unit of it.

    Units
        flight_time : s

    Valid
        shapes alike on both sides: no twist

    Raises
        PlanError for a plan that moves one side unlike the other

    Source
        law: H = J Omega + h about an axis that keeps its direction

    Example
        >>> from loftbook.mechanics import body, straight
        >>> still = turning(body(1.5, "female", age=12), Plan(straight()), 1.5)
        >>> still.limbs
        0.0
    """
    from loftbook.mechanics.kernel import STATE
    from loftbook.mechanics.stepping import states_at

    times = np.linspace(0.0, flight_time, POINTS)
    states = np.empty((POINTS, STATE))
    states_at(body.skeleton, curves(plan), 0, times, states)
    aside = np.abs(states[:, [3, 4, 7, 8]]).max()
    if aside > LOPSIDED * states[:, 0].max():
        raise PlanError(
            "a plan whose left and right sides move unlike each other",
            "both sides alike for a rotation budget",
            "fly it with mechanics.fly instead, which lets it tilt and twist",
        )
    J, h = states[:, 0].copy(), states[:, 6].copy()
    return Turning(times, J, h, _simpson(1 / J, times), _simpson(h / J, times))


def turned(known: Turning, momentum: float) -> float:
    """How far the pelvis turns with this momentum.

    Units
        momentum : m²/s, backward positive; returns rad

    Source
        law, as `turning`

    Example
        >>> from loftbook.mechanics import body, straight
        >>> still = turning(body(1.5, "female", age=12), Plan(straight()), 1.5)
        >>> turned(still, 0.0)
        0.0
    """
    return momentum * known.per_momentum - known.limbs


def momentum_for(known: Turning, angle: float) -> float:
    """How much momentum turns the pelvis this far.

    Units
        angle : rad, backward positive; returns m²/s

    Source
        law, as `turning`

    Example
        >>> from loftbook.mechanics import body, straight
        >>> still = turning(body(1.5, "female", age=12), Plan(straight()), 1.5)
        >>> round(turned(still, momentum_for(still, 3.0)), 9)
        3.0
    """
    return (angle + known.limbs) / known.per_momentum


def _simpson(values: Array, times: Array) -> float:
    weights = np.full(len(values), 2.0)
    weights[1::2] = 4.0
    weights[[0, -1]] = 1.0
    return float(weights @ values * (times[1] - times[0]) / 3)
