"""Tilt and twist that one movement makes, in any shape."""

from math import nan

import pytest

from loftbook.errors import PlanError, RangeError
from loftbook.mechanics import body, straight, tuck, twist_from, with_arms
from loftbook.mechanics.named_shapes import bent
from loftbook.mechanics.shape import ARMS_DOWN, ARMS_UP
from loftbook.units import degree

GIRL = body(1.60, "female", age=16)


def dropped(shape, left=ARMS_DOWN, right=ARMS_UP):
    """Arms overhead, then one of them down."""
    return with_arms(shape, left=ARMS_UP, right=ARMS_UP), with_arms(shape, left=left, right=right)


def opened(hip):
    return bent(hip=hip, knee=0.9 * hip, trunk=0.2 * hip)


def test_the_left_arm_down_tilts_to_the_right_and_twists_to_the_left():
    """Signs of docs/symbols.md: backward somersault and tilt to the right make a twist to the left."""
    found = twist_from(GIRL, *dropped(straight()), momentum=0.9)
    assert found.tilt.middle > 0
    assert found.per_somersault.middle > 0


def test_the_other_arm_and_the_other_somersault_mirror_it():
    """Law: symmetry."""
    left = twist_from(GIRL, *dropped(straight()), momentum=0.9)
    right = twist_from(GIRL, *dropped(straight(), left=ARMS_UP, right=ARMS_DOWN), momentum=0.9)
    assert right.tilt.middle == pytest.approx(-left.tilt.middle, abs=1e-6)
    assert right.per_somersault.middle == pytest.approx(-left.per_somersault.middle, rel=1e-4)
    forward = twist_from(GIRL, *dropped(straight()), momentum=-0.9)
    assert forward.per_somersault.middle == pytest.approx(-left.per_somersault.middle, rel=0.02)


def test_tilt_hardly_depends_on_the_spin():
    """Law: the tilt is the arm's reaction; the spin only turns it a little on the way."""
    slow, quick = (twist_from(GIRL, *dropped(straight()), momentum=m).tilt.middle for m in (0.1, 1.0))
    assert quick == pytest.approx(slow, rel=0.15)


def test_both_arms_alike_make_nothing():
    found = twist_from(GIRL, *dropped(straight(), left=ARMS_DOWN, right=ARMS_DOWN), momentum=0.9)
    assert abs(found.tilt.middle) < 1e-6
    assert abs(found.per_somersault.middle) < 1e-3


def test_the_more_open_the_shape_the_more_twist():
    """Law: the ratio of moments rises as the hips open; one full twist needs about 50° or less (an earlier model)."""
    rates = [twist_from(GIRL, *dropped(opened(h * degree)), momentum=0.9) for h in (0, 30, 60, 90)]
    middles = [r.per_somersault.middle for r in rates]
    assert middles == sorted(middles, reverse=True)
    assert middles[0] > 2
    assert middles[2] < 1


def test_near_the_border_of_twisting_and_wobbling_the_verdict_is_doubtful():
    """Between an open body that twists and a deep pike that wobbles lies a shape that nobody can tell."""
    verdicts = [
        twist_from(GIRL, *dropped(bent(hip=h * degree, knee=0.0, trunk=0.2 * h * degree)), momentum=0.9)
        for h in (0, 60, 90)
    ]
    assert [v.verdict.trust.value for v in verdicts] == ["good", "doubtful", "good"]
    assert [v.mode for v in verdicts][::2] == ["twisting", "wobbling"]
    assert verdicts[2].per_somersault.middle == 0.0
    assert "border" in verdicts[1].verdict.sentence


def test_longitudinal_uncertainty_reaches_the_twist():
    """Law: twists per somersault go nearly as one over the inertia about the long axis."""
    found = twist_from(GIRL, *dropped(straight()), momentum=0.9)
    part = found.per_somersault.parts["inertia about the long axis"]
    assert part / found.per_somersault.middle == pytest.approx(GIRL.longitudinal_uncertainty, rel=0.25)
    assert found.moments[0] < found.moments[1] <= found.moments[2]


def test_bad_input_teaches():
    with pytest.raises(RangeError, match="takes"):
        twist_from(GIRL, *dropped(tuck()), momentum=0.9, lasting=0.0)
    with pytest.raises(RangeError, match="divide the momentum"):
        twist_from(GIRL, *dropped(tuck()), momentum=nan)
    with pytest.raises(PlanError, match="more time"):
        twist_from(GIRL, *dropped(straight()), momentum=0.9, lasting=0.01)
