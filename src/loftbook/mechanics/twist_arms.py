"""Tilt and twist that one movement makes in a shape: an arm dropped, arms that change sides, a sideways bend.

The movement tilts the body against its momentum; the tilted body then twists, or only wobbles, as its inertia decides.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import isfinite, pi

import numpy as np

from loftbook.errors import RangeError
from loftbook.mechanics.bands import COVERAGE, Band
from loftbook.mechanics.body import Body, thicker
from loftbook.mechanics.budget import check_momentum
from loftbook.mechanics.counts import Mode, Turns, count_turns, mode_at
from loftbook.mechanics.flight import Trust, Verdict, rigid_energy
from loftbook.mechanics.inertia import inertia, principal
from loftbook.mechanics.keys import pose
from loftbook.mechanics.multibody import LONGEST, TakeOff, fly
from loftbook.mechanics.plan import Plan
from loftbook.mechanics.shape import Shape
from loftbook.units import turn

BEGIN = 0.10  # s after take-off, when the movement begins; the tilt hardly depends on it
SOMERSAULTS = 8.0  # that are watched after the movement, as far as ten seconds allow
NEAR = 0.05  # of 2 E I_mid over H²: nearer to one than this, the last per cent of the body model decides the mode


@dataclass(frozen=True)
class MadeTwist:
    """What one movement makes of a somersault, if the shape after it were held.

    Units
        tilt : rad at the end of the movement, head to the right positive, of the axis of least inertia
        per_somersault : twists in each backward somersault, to the left positive; 0 on average when it only wobbles
        both with the band that the uncertain inertia about the long axis leaves
        mode : twisting or wobbling; least, middle, most : m², principal moments of the shape after the movement
        verdict : doubtful when body table or a few degrees of shape decide the mode
    """

    tilt: Band
    per_somersault: Band
    mode: Mode
    moments: tuple[float, float, float]
    verdict: Verdict


def twist_from(
    body: Body, before: Shape, after: Shape, *, momentum: float, lasting: float = 0.25
) -> MadeTwist:
    """The tilt and the twist that one movement makes during a somersault.

    Units
        before, after : shapes; momentum : m²/s per kilogram, backward positive; lasting : s that the movement takes

    Valid
        a body that somersaults without twist until the movement begins, and keeps the shape afterwards

    Raises
        RangeError for a momentum that nobody has, or a movement of no or endless duration; PlanError for an
        impossible one

    Source
        law: H is constant. One arm lowered from overhead in a straight body: 8 to 10° (Yeadon 1993, from memory)

    Example
        >>> from math import radians
        >>> from loftbook.mechanics import body, straight, with_arms
        >>> from loftbook.mechanics.shape import ARMS_DOWN, ARMS_UP
        >>> girl = body(1.6, "female", age=16)
        >>> dropped = with_arms(straight(), left=ARMS_DOWN, right=ARMS_UP)
        >>> found = twist_from(girl, straight(), dropped, momentum=1.0)
        >>> found.mode, found.tilt.holds(radians(8))
        ('twisting', True)
    """
    check_momentum(momentum)
    if not (isfinite(lasting) and 0 < lasting <= 2):
        raise RangeError(f"a movement that takes {lasting!r} s", "more than 0 and up to 2 s", "give seconds")
    u = body.longitudinal_uncertainty
    plan = Plan(before, (pose(BEGIN + lasting, after, lead=lasting),))
    bodies = (
        [body] if u == 0 else [thicker(body, longitudinal=1 - u), body, thicker(body, longitudinal=1 + u)]
    )
    made = [_made(one, plan, after, momentum) for one in bodies]
    tilt, rate, mode, excess = made[len(made) // 2]
    moments = inertia(body, after).moments
    return MadeTwist(
        _around(tilt, [m[0] for m in made]),
        _around(rate, [m[1] for m in made]),
        mode,
        (float(moments[0]), float(moments[1]), float(moments[2])),
        _verdict(mode, excess, {m[2] for m in made}),
    )


def _made(body: Body, plan: Plan, after: Shape, momentum: float) -> tuple[float, float, Mode, float]:
    """Tilt, twists per somersault, mode, and how far 2 E I_mid is from H², for one body."""
    over = plan.keys[0].time
    slow = float(inertia(body, after).moments[2])
    duration = min(over + SOMERSAULTS * turn * slow / abs(momentum), LONGEST)
    flight = fly(body, plan, TakeOff((momentum, 0.0, 0.0)), duration=duration)
    turns = count_turns(flight)
    n = int(np.searchsorted(flight.times, over))
    middle = float(principal(flight.tensors[n])[0][1])
    excess = 2 * float(rigid_energy(flight)[n]) * middle / momentum**2 - 1
    mode = mode_at(flight, float(flight.times[n]))
    rate = _per_somersault(turns, n) if mode == "twisting" else 0.0
    return float(np.interp(over, turns.times, turns.tilt)), rate, mode, excess


def _per_somersault(turns: Turns, begin: int) -> float:
    """Twist over somersault from an instant on, over as many whole half twists as there are: those are all alike."""
    twist = turns.twist[begin:] - turns.twist[begin]
    somersault = np.abs(turns.somersault[begin:] - turns.somersault[begin])
    sign = 1.0 if twist[-1] >= 0 else -1.0
    halves = np.floor(sign * twist[-1] / pi)
    if halves < 1:
        return float(twist[-1] / somersault[-1])
    return float(sign * halves * pi / np.interp(halves * pi, sign * twist, somersault))


def _around(middle: float, values: list[float]) -> Band:
    """The middle with the band that three bodies, one standard uncertainty apart, leave."""
    part = (max(values) - min(values)) / 2
    return Band(
        middle - COVERAGE * part, middle, middle + COVERAGE * part, {"inertia about the long axis": part}
    )


def _verdict(mode: Mode, excess: float, modes: set[Mode]) -> Verdict:
    away = f"{100 * abs(excess):.0f} % from the border between twisting and wobbling"
    if len(modes) > 1:
        return Verdict(
            Trust.DOUBTFUL,
            f"This shape is {away}: a body a little stouter or leaner goes the other way.",
        )
    if abs(excess) < NEAR:
        return Verdict(
            Trust.DOUBTFUL,
            f"This shape is {away}: a few degrees of hip, knee or trunk decide which it is.",
        )
    return Verdict(Trust.GOOD, f"The body goes on {mode}, {away}.")
