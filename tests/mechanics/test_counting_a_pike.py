"""Half a somersault must not be lost in a deep pike, where two moments of inertia pass each other."""

import pytest

from loftbook.mechanics import ShapePlan, body, count_turns, fly, pike
from loftbook.mechanics.multibody import TakeOff
from loftbook.mechanics.shape_plan import plan_of
from loftbook.mechanics.turning import momentum_for, turning
from loftbook.units import turn


@pytest.mark.parametrize("stature", [1.30, 1.45, 1.60, 1.70])
@pytest.mark.parametrize("time", [1.4, 1.5, 1.6, 1.7])
def test_a_piked_double_turns_as_far_as_the_pelvis(stature: float, time: float) -> None:
    girl = body(stature, "female", age=15)
    plan = plan_of(ShapePlan(pike()), time)
    momentum = momentum_for(turning(girl, plan, time), 1.75 * turn)
    flight = fly(girl, plan, TakeOff((momentum, 0, 0)), duration=time)
    # law: she is straight at take-off and at landing, where the long axis is the pelvis's, and nothing twists
    assert count_turns(flight).somersaults == pytest.approx(1.75, abs=0.001)
    assert count_turns(flight).twists == pytest.approx(0.0, abs=1e-6)
