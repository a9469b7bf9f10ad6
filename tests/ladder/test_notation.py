"""A coach writes a skill in numbers, and reads it back."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from loftbook.errors import NotationError
from loftbook.ladder.notation import (
    MOST_HALF_TWISTS,
    MOST_QUARTERS,
    SYMBOLS,
    plain_skill,
    read_notation,
    write_notation,
)
from loftbook.ladder.rungs import Skill
from loftbook.ladder.scales import Direction, Shape

BACK, FRONT = Direction.BACKWARD, Direction.FORWARD


def test_it_works():
    skill = read_notation("8 – 2 o", BACK)
    assert (skill.quarters, skill.half_twists, skill.shape) == (8, (0, 2), Shape.TUCK)
    assert (skill.somersaults, skill.twists) == (2, 1)
    assert write_notation(skill) == "8 – 2 o"


HANDS = ["8 – 2 o", "8-2o", "8 - 2 o", "8 0 2 o", "802o", "802 o", "8—2O", "8−2 o", "8_2o", "8-2t", "8 – 2 T"]
HANDS += [" 8\t–  2  o ", "８ – ２ ｏ"]


@pytest.mark.parametrize("typed", HANDS)
def test_many_hands_write_one_skill(typed):
    assert read_notation(typed, BACK) == Skill(BACK, 8, (0, 2), Shape.TUCK)


@pytest.mark.parametrize(
    ("typed", "shape"),
    [("8 0 2 /", Shape.STRAIGHT), ("8 – – <", Shape.PIKE), ("8--P", Shape.PIKE), ("8--s", Shape.STRAIGHT)],
)
def test_shapes_by_sign_and_by_letter(typed, shape):
    assert read_notation(typed, FRONT).shape is shape


@pytest.mark.parametrize(
    ("typed", "quarters", "half_twists"),
    [
        ("81-o", 8, (1, 0)),
        ("11--o", 11, (0, 0)),
        ("12---o", 12, (0, 0, 0)),
        ("12001o", 12, (0, 0, 1)),
        ("41<", 4, (1,)),
        ("3-/", 3, (0,)),
        ("7-o", 7, (0,)),
        ("7-1o", 7, (0, 1)),
        ("7--o", 7, (0,)),
    ],
)
def test_written_without_spaces_only_one_reading_fits(typed, quarters, half_twists):
    skill = read_notation(typed, FRONT)
    assert (skill.quarters, skill.half_twists) == (quarters, half_twists)


@pytest.mark.parametrize(
    ("typed", "words"),
    [
        ("8 2 o", "8 quarters with 1 twist number; expected 2 twist numbers for 8 quarters"),
        ("4 o", "4 quarters with 0 twist numbers; expected 1 twist number for 4 quarters"),
        ("12 – – o", "expected 3 twist numbers for 12 quarters"),
        ("11 – o", "expected 2 or 3 twist numbers for 11 quarters"),
        ("1 1 0 0 o", "1 quarter with 3 twist numbers"),
        ("8 – 2 0", "the letter o, not the digit 0"),
        ("8 – –", "without a shape"),
        ("double", "'d' in 'double'"),
        ("8 – – x", "'x' in '8 – – x'"),
        ("8 o – –", "'o' in '8 o – –'"),
        ("o", "expected quarters of somersault first"),
        ("– – o", "expected quarters of somersault first"),
        ("", "expected a skill such as"),
        ("8" * 100_000, "expected a skill such as"),
        ("0 – o", "0 quarters of somersault; expected 1 to 20"),
        ("24 – – – – – – o", "24 quarters of somersault; expected 1 to 20"),
        ("١ – o", "digits, dashes and one shape"),
    ],
)
def test_what_cannot_be_read_says_what_to_write(typed, words):
    with pytest.raises(NotationError) as caught:
        read_notation(typed, BACK)
    assert words in str(caught.value)
    assert caught.value.todo


def test_direction_stands_apart():
    # common notation: double back and double front are both 8 – – (trade facts, read second hand)
    back, front = read_notation("8 – – o", BACK), read_notation("8 – – o", FRONT)
    assert back != front
    assert write_notation(back) == write_notation(front)


def test_an_open_tuck_needs_its_label():
    skill = read_notation("8 – – o", BACK, Shape.OPEN_TUCK)
    assert skill.shape is Shape.OPEN_TUCK
    assert write_notation(skill) == "8 – – o"
    assert read_notation("8 – –", BACK, Shape.PUCK).shape is Shape.PUCK
    with pytest.raises(NotationError, match="open tuck"):
        read_notation("8 – – <", BACK, Shape.OPEN_TUCK)


@pytest.mark.parametrize(
    "skill",
    [
        Skill(BACK, 8, (-1, 0), Shape.TUCK),
        Skill(BACK, 8, (10, 0), Shape.TUCK),
        Skill(BACK, 8, (0,), Shape.TUCK),
        Skill(BACK, 0, (0,), Shape.TUCK),
    ],
)
def test_a_skill_that_nobody_can_do_is_not_written(skill):
    with pytest.raises(NotationError):
        write_notation(skill)


@pytest.mark.parametrize(
    ("typed", "direction", "seen"),
    # trade facts: even half twists from a backward take-off, or odd from a forward one, come in with the bed in sight
    [
        ("4 – o", BACK, True),
        ("4 – o", FRONT, False),
        ("4 1 <", FRONT, True),  # barani
        ("4 1 /", BACK, False),  # late half
        ("4 2 /", BACK, True),  # full
        ("4 3 /", FRONT, True),  # rudi
        ("8 – – o", FRONT, False),
        ("8 – 1 o", FRONT, True),  # half-out
        ("8 1 1 o", BACK, True),
    ],
)
def test_who_sees_the_bed(typed, direction, seen):
    assert read_notation(typed, direction).bed_in_sight is seen


@st.composite
def skills(draw):
    """Any skill that can be written."""
    quarters = draw(st.integers(1, MOST_QUARTERS))
    count = draw(st.integers(max(1, quarters // 4), max(1, -(-quarters // 4))))
    half_twists = tuple(draw(st.lists(st.integers(0, MOST_HALF_TWISTS), min_size=count, max_size=count)))
    skill = Skill(draw(st.sampled_from(Direction)), quarters, half_twists, draw(st.sampled_from(Shape)))
    return plain_skill(skill)


@given(skills())
def test_what_is_written_is_read_back(skill):
    assert read_notation(write_notation(skill), skill.direction, skill.shape) == skill


@given(skills(), st.sampled_from(["-", "–", "—", "−", "0"]), st.sampled_from(["", " ", "  "]))
def test_another_hand_is_read_the_same(skill, none, gap):
    """Any dash or a nought for no twist; packed or spaced."""
    numbers = [str(n) if n else none for n in skill.half_twists]
    typed = gap.join([str(skill.quarters), *numbers, SYMBOLS[skill.shape]])
    assert read_notation(typed, skill.direction, skill.shape) == skill


@given(st.text(max_size=30))
def test_anything_typed_is_read_or_refused_in_words(typed):
    try:
        skill = read_notation(typed, BACK)
    except NotationError:
        return
    assert read_notation(write_notation(skill), BACK) == skill
