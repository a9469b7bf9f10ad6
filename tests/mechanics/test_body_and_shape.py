"""Bodies and shapes: what is refused, and what must be true of any of them."""

from dataclasses import asdict
from math import nan, pi

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from loftbook.errors import RangeError, ShapeError
from loftbook.mechanics import Arm, Shape, body, inertia, straight, thicker, tuck, with_arms
from loftbook.mechanics.body import ANGLE_NAMES
from loftbook.mechanics.inertia import shape_in_motion
from loftbook.mechanics.named_shapes import ARMS_TO_TUCK, bent, open_tuck, pike, puck
from loftbook.mechanics.posture import hand_gap, landmarks, opening_angles
from loftbook.mechanics.segments import head_share, segments_for
from loftbook.mechanics.shape import ANGLE_LIMITS, angles_of, shape_from
from loftbook.mechanics.shape_classes import shape_class
from loftbook.units import centimetre, degree

GIRL = body(1.45, "female", age=11)

angles = st.tuples(*(st.floats(low, high) for low, high in ANGLE_LIMITS.values()))


@pytest.mark.parametrize(
    ("stature", "said"),
    [
        (1400, "millimetres: try 1.4"),
        (145, "centimetres: try 1.45"),
        (0.4, "metres"),
        (nan, "metres"),
        (-1.5, "metres"),
    ],
)
def test_a_height_in_the_wrong_unit_is_told(stature, said):
    with pytest.raises(RangeError, match=said):
        body(stature, "female", age=11)


@pytest.mark.parametrize("age", [0, 3.9, nan, 2010])
def test_ages_outside_the_table_are_refused(age):
    with pytest.raises(RangeError, match="years"):
        body(1.45, "female", age=age)


def test_an_unknown_sex_and_unknown_segments_are_refused():
    with pytest.raises(RangeError, match="female"):
        body(1.45, "boy", age=11)
    with pytest.raises(ShapeError, match="tail"):
        body(1.45, "female", age=11, lengths={"tail": 0.3})
    with pytest.raises(RangeError, match="usual"):
        body(1.45, "female", age=11, lengths={"thigh": 38.0})


def test_own_lengths_are_used():
    longer = body(1.45, "female", age=11, lengths={"thigh": 0.35})
    assert longer.lengths["thigh"] == 0.35
    hip_to_knee = landmarks(longer, Shape())["left_knee"] - landmarks(longer, Shape())["left_hip"]
    assert np.allclose(hip_to_knee, [0, 0, -0.35])


def test_lengths_make_up_the_stature():
    """Heel to crown with the ankle's height; de Leva's lengths are from memory, so within 2 %."""
    from loftbook.mechanics.body import ANKLE_HEIGHT

    for sex in ("female", "male"):
        one = body(1.70, sex, age=25)
        p = landmarks(one, Shape())
        assert p["crown"][2] - p["left_ankle"][2] + ANKLE_HEIGHT * 1.70 == pytest.approx(1.70, rel=0.02)


@pytest.mark.parametrize("sex", ["female", "male"])
@pytest.mark.parametrize("age", [4, 8, 11, 14.9, 15.1, 30])
def test_masses_make_a_whole_body_at_any_age(sex, age):
    one = body(1.2, sex, age=age)
    assert one.skeleton.fractions.sum() == pytest.approx(1.0, abs=1e-12)
    assert np.all(one.skeleton.fractions > 0)


def test_the_head_does_not_jump_where_the_regression_meets_the_table():
    shares = [head_share(a) for a in np.linspace(4, 20, 200)]
    assert np.all(np.diff(shares) <= 0)
    assert np.max(np.abs(np.diff(shares))) < 0.001


def test_what_the_head_takes_the_rest_gives_in_proportion():
    child, adult = segments_for(1.4, "female", 8), segments_for(1.4, "female", 30)
    ratio = {c.name: c.fraction / a.fraction for c, a in zip(child, adult, strict=True)}
    rest = [r for name, r in ratio.items() if name != "head"]
    assert ratio["head"] > 1 > max(rest)
    assert max(rest) == pytest.approx(min(rest))


@pytest.mark.parametrize("factor", [0.75, 1.0, 1.25, 1.6])
def test_a_thicker_body_changes_along_and_hardly_across(factor):
    """Law: moments along the axis go with the square of the widths."""
    one, other = (
        np.diag(shape_in_motion(b, bent(hip=0, knee=0)).tensor)
        for b in (GIRL, thicker(GIRL, longitudinal=factor))
    )
    feet = 0.02  # the feet point and stick out: their own shape does not scale
    assert other[2] / one[2] == pytest.approx(factor, rel=feet)
    assert other[0] / one[0] == pytest.approx(1.0, abs=0.01)
    with pytest.raises(RangeError, match="factor"):
        thicker(GIRL, longitudinal=25)


def test_longitudinal_uncertainty_reaches_the_moments():
    found = inertia(GIRL, straight())
    assert found.moments_uncertainty[0] / found.moments[0] == pytest.approx(0.25, rel=0.02)
    assert found.moments_uncertainty[1] < 0.02 * found.moments[1]
    tucked = inertia(GIRL, tuck())
    assert 0.02 < tucked.moments_uncertainty[0] / tucked.moments[0] < 0.2, "folded legs are better known"


# ---- shapes ----


@pytest.mark.parametrize(
    ("angle", "value", "said"),
    [("left_knee", 2.0 * pi, "-20° to 165°"), ("left_knee", 120.0, "degrees"), ("right_hip_flexion", nan, "gap"),
     ("left_elbow", -1.0, "sign")],
)  # fmt: skip
def test_impossible_angles_are_named(angle, value, said):
    with pytest.raises(RangeError, match=said) as caught:
        Shape(**{angle: value})
    assert angle in str(caught.value)


def test_wrong_names_and_numbers_of_angles():
    with pytest.raises(ShapeError, match="left_wing"):
        shape_from({"left_wing": 1.0})
    with pytest.raises(ShapeError, match=r"\(17,\)"):
        shape_from(np.zeros(17))


@given(angles)
def test_angles_there_and_back(values):
    shape = shape_from(np.array(values))
    assert tuple(angles_of(shape)) == values
    assert list(asdict(shape)) == list(ANGLE_NAMES)


@given(angles)
@settings(deadline=None, max_examples=60)
def test_any_shape_has_possible_moments(values):
    """Law: of three moments of a body none exceeds the sum of the other two; the mass centre lies inside it."""
    found = inertia(GIRL, shape_from(np.array(values)))
    assert found.moments[0] > 0
    assert found.moments[2] <= found.moments[0] + found.moments[1] + 1e-12
    assert np.linalg.norm(found.mass_centre) < 0.5 * GIRL.stature
    assert np.allclose(found.axes @ np.diag(found.moments) @ found.axes.T, found.tensor)
    assert np.linalg.det(found.axes) == pytest.approx(1.0)


MIRRORED = {
    n: n.replace("left", "RIGHT").replace("right", "left").replace("RIGHT", "right") for n in ANGLE_NAMES
}


def mirror(shape: Shape) -> Shape:
    flipped = {
        MIRRORED[n]: getattr(shape, n) * (-1 if n in ("trunk_side", "trunk_twist") else 1)
        for n in ANGLE_NAMES
    }
    return Shape(**flipped)


@given(angles)
@settings(deadline=None, max_examples=40)
def test_left_and_right_are_alike(values):
    """Symmetry: the mirrored shape has the mirrored tensor."""
    shape, glass = shape_from(np.array(values)), np.diag([-1.0, 1, 1])
    one, other = (shape_in_motion(GIRL, s) for s in (shape, mirror(shape)))
    assert np.allclose(other.tensor, glass @ one.tensor @ glass, atol=1e-15)
    assert np.allclose(other.mass_centre, glass @ one.mass_centre, atol=1e-15)


def test_inertia_by_hand_for_two_segments_that_move():
    """Second way: shifting one forearm by the parallel-axis theorem, worked out here."""
    k = GIRL.skeleton
    i = 5  # left forearm
    j = 6  # left hand
    rest, bent_arm = (shape_in_motion(GIRL, s) for s in (Shape(), Shape(left_elbow=pi / 2)))

    def origin(state):
        c = state.mass_centre
        return state.tensor + (c @ c) * np.eye(3) - np.outer(c, c)

    def part(state):
        total = np.zeros((3, 3))
        for s in (i, j):
            R, d = state.rotations[s], state.joints[s] + state.rotations[s] @ k.centres[s]
            total += R @ np.diag(k.inertias[s]) @ R.T + k.fractions[s] * (
                (d @ d) * np.eye(3) - np.outer(d, d)
            )
        return total

    assert np.allclose(origin(rest) - part(rest), origin(bent_arm) - part(bent_arm), atol=1e-15)
    assert np.allclose(bent_arm.rotations[i], [[1, 0, 0], [0, 0, -1], [0, 1, 0]], atol=1e-15)


def test_hands_reach_the_legs_in_the_named_shapes():
    """The arms' constants were found for this; a palm's width."""
    for stature, sex, age in ((1.30, "female", 9), (1.60, "female", 16), (1.75, "male", 20)):
        one = body(stature, sex, age=age)
        assert hand_gap(one, tuck()) < 8 * centimetre
        assert hand_gap(one, open_tuck(), along=0.0) < 8 * centimetre
        assert hand_gap(one, pike(), along=0.8) < 8 * centimetre
    assert tuck().left_elbow == ARMS_TO_TUCK.elbow


def test_opening_angles_are_what_a_camera_sees():
    hip, knee = opening_angles(GIRL, bent(hip=90 * degree, knee=60 * degree))
    assert hip == pytest.approx(90 * degree, abs=1e-9)
    assert knee == pytest.approx(120 * degree, abs=1e-9)
    assert opening_angles(GIRL, straight())[0] == pytest.approx(pi)
    assert opening_angles(GIRL, tuck())[0] < pi - tuck().left_hip_flexion, (
        "a rounded trunk closes the hips further"
    )


# FIG trampoline 2013-16, section 14, second hand: straight above 135°, else pike above 135° at the knee, else tuck
@pytest.mark.parametrize(
    ("hip", "knee", "name"),
    [
        (136, 180, "straight"),
        (136, 90, "straight"),
        (135, 136, "pike"),
        (90, 180, "pike"),
        (135, 135, "tuck"),
        (60, 50, "tuck"),
    ],
)
def test_trampoline_limits(hip, knee, name):
    assert shape_class(hip * degree, knee * degree, edition="trampoline-2013").name == name


# FIG women's artistic 2013-16, second hand: tuck and pike below 90°
@pytest.mark.parametrize(
    ("hip", "knee", "name"),
    [
        (89, 89, "tuck"),
        (90, 89, "between"),
        (89, 180, "pike"),
        (89, 120, "between"),
        (120, 180, "between"),
        (150, 180, "straight"),
    ],
)
def test_artistic_limits(hip, knee, name):
    assert shape_class(hip * degree, knee * degree, edition="wag-2013").name == name


def test_an_open_tuck_is_a_tuck_for_trampoline_only():
    hip, knee = opening_angles(GIRL, open_tuck())
    assert shape_class(hip, knee, edition="trampoline-2013").name == "tuck"
    assert shape_class(hip, knee, edition="wag-2013").name == "between"


@given(st.floats(0, 180), st.floats(0, 180), st.sampled_from(["trampoline-2013", "wag-2013"]))
def test_the_distance_to_the_limit_is_true(hip, knee, edition):
    """One step further than the distance, in some direction, is another shape; half of it is not."""
    found = shape_class(hip * degree, knee * degree, edition=edition)

    def names(step):
        moves = [(hip + step, knee), (hip - step, knee), (hip, knee + step), (hip, knee - step)]
        return {
            shape_class(h * degree, k * degree, edition=edition).name
            for h, k in moves
            if 0 <= h <= 225 and 0 <= k <= 225
        }

    far = found.distance / degree
    if np.isfinite(far):
        assert names(far + 1e-3) != {found.name}
        if far > 1e-3:
            assert names(far / 2) == {found.name}


def test_shape_class_needs_openings_and_an_edition():
    with pytest.raises(RangeError, match="opening angle"):
        shape_class(120.0, 1.0, edition="wag-2013")
    with pytest.raises(ShapeError, match="trampoline-2013"):
        shape_class(1.0, 1.0, edition="this year's")


def test_arms_are_apart():
    shape = with_arms(puck(), left=Arm(abduction=1.0), right=Arm(flexion=0.5))
    assert (shape.left_arm_abduction, shape.right_arm_abduction, shape.right_arm_flexion) == (1.0, 0.0, 0.5)
