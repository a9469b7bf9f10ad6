"""Bad input is told with what to do, and directions do not depend on where she faces."""

from __future__ import annotations

from collections.abc import Callable
from math import inf, nan, pi

import numpy as np
import pytest

from loftbook.errors import LoftbookError
from loftbook.mechanics import (
    Arm,
    Plan,
    Seen,
    ShapePlan,
    TakeOff,
    arc_of_height,
    arc_of_time,
    body,
    carried_over,
    count_turns,
    enough_for,
    fly,
    holding,
    holding_at,
    launch_of,
    open_tuck,
    rotation_budget,
    straight,
    tuck,
    turns_made,
    with_arms,
)
from loftbook.mechanics.inertia import shape_in_motion
from loftbook.mechanics.shape_plan import plan_of

GIRL = body(1.45, "female", age=11)
TUCK, OPEN = ShapePlan(tuck()), ShapePlan(open_tuck())
LOPSIDED = with_arms(tuck(), left=Arm(), right=Arm(abduction=3.0))
HELD = Plan(straight())
UP = TakeOff((0.6, 0, 0))

REFUSED: dict[str, Callable[[], object]] = {
    "budget in milliseconds": lambda: rotation_budget(GIRL, TUCK, flight_time=1400),
    "seen in milliseconds": lambda: carried_over(GIRL, Seen(TUCK, 1400), OPEN, flight_time=1.4),
    "momentum the other way": lambda: enough_for(GIRL, TUCK, flight_time=1.4, momentum=-0.6),
    "no uncertainty": lambda: turns_made(GIRL, TUCK, flight_time=1.4, momentum=0.6, momentum_uncertainty=nan),
    "uncertainty below nothing": lambda: turns_made(
        GIRL, TUCK, flight_time=1.4, momentum=0.6, momentum_uncertainty=-1
    ),
    "accuracy that is no number": lambda: fly(GIRL, HELD, UP, duration=1.4, accuracy=nan),
    "accuracy below nothing": lambda: fly(GIRL, HELD, UP, duration=1.4, accuracy=-1.0),
    "steps below nothing": lambda: fly(GIRL, HELD, UP, duration=1.4, steps=-4),
    "no steps": lambda: fly(GIRL, HELD, UP, duration=1.4, steps=0),
    "no durations": lambda: launch_of(np.zeros((1, 3)), np.array([])),
    "travel that is no number": lambda: arc_of_time(1.4, travel=nan),
    "endless travel": lambda: arc_of_height(2.0, travel=inf),
    "landing while rising": lambda: arc_of_time(1.0, drop=-10),
    "turns about the hips": lambda: count_turns(fly(GIRL, HELD, UP, duration=1.0), about="hips"),  # type: ignore[arg-type]
    "one arm up, held": lambda: holding_at(GIRL, LOPSIDED, spin=10.0),
    "one arm up, flown": lambda: holding(GIRL, ShapePlan(LOPSIDED), flight_time=1.4, momentum=0.6),
    "rates with gaps": lambda: shape_in_motion(GIRL, straight(), np.full(18, nan)),
    "rates too few": lambda: shape_in_motion(GIRL, straight(), np.zeros(3)),
}


@pytest.mark.parametrize("asked", REFUSED.values(), ids=REFUSED.keys())
def test_bad_input_is_refused_with_what_to_do(asked: Callable[[], object]) -> None:
    with pytest.raises(LoftbookError, match="expected"):
        asked()


def test_a_forward_somersault_is_short_where_a_backward_one_is() -> None:
    # law: turning forward is the same movement with every sign of the turn changed; equal inertia, so the same lack,
    # but for the limbs' own momentum, which does not change its sign
    backward = carried_over(GIRL, Seen(TUCK, 1.45, turns=1.75), OPEN, flight_time=1.45)
    forward = carried_over(GIRL, Seen(TUCK, 1.45, turns=-1.75), OPEN, flight_time=1.45, turns=-1.75)
    assert forward.turns.middle < 0
    assert forward.over.middle == pytest.approx(backward.over.middle, abs=0.03)
    assert f"{-forward.over.middle:.2f} short" in forward.sentence


def test_a_flight_counts_backward_whichever_way_she_faces() -> None:
    # law: no direction in the hall is special; turned by half a turn about the vertical it is the same flight
    plan = plan_of(TUCK, 1.45)
    for yaw in (0.0, pi / 2, pi):
        right = np.array([np.cos(yaw), np.sin(yaw), 0.0])
        facing = (np.cos(yaw / 2), 0.0, 0.0, np.sin(yaw / 2))
        seen = fly(GIRL, plan, TakeOff(0.6 * right, facing), duration=1.45)
        found = carried_over(GIRL, seen, OPEN, flight_time=1.45)
        assert found.momentum == pytest.approx(0.6)
