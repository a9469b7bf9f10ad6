"""One twist side across her skills, or which disagree."""

from datetime import date

import pytest
from tests.insight.cast import LADDER, girl

from loftbook.book.people import TwistNote
from loftbook.insight.twistside import twist_sides
from loftbook.ladder.scales import TwistSide

L, R = TwistSide.LEFT, TwistSide.RIGHT


def sides(*notes, **facts):
    return twist_sides(girl(1, twists=tuple(TwistNote(*note) for note in notes)), LADDER, **facts)


def test_all_to_one_side():
    found = sides((L, "barani"), (L, "full_in"))
    assert (found.one_side, found.side, found.disagree) == (True, L, ())
    assert found.sentence == "One side: left in all that was noted (Barani, Full-in)."


def test_the_skill_that_disagrees_is_named():
    found = sides((L, "barani"), (R, "full_in"), (R, "jump_full"))
    assert (found.one_side, found.side) == (False, R)
    assert [(one.rung, one.name, one.side) for one in found.disagree] == [("barani", "Barani", L)]
    assert "right mostly, but Barani left" in found.sentence
    assert "hazard" in found.sentence
    assert "qualified coach" in found.sentence


def test_the_general_note_is_her_side():
    found = sides((L, ""), (R, "barani"), (R, "full_in"))
    assert (found.one_side, found.side) == (False, L)
    assert [one.rung for one in found.disagree] == ["barani", "full_in"]
    assert "left in general" in found.sentence
    assert sides((L, ""), (L, "barani")).one_side is True


def test_as_many_left_as_right_is_no_side():
    found = sides((L, "barani"), (R, "full_in"))
    assert (found.one_side, found.side, len(found.disagree)) == (False, None, 2)


@pytest.mark.parametrize(
    ("notes", "side", "words"),
    [
        ([], None, "No twist side was noted."),
        ([(L, "")], L, "Noted as left in general; no single skill was noted."),
        ([(R, "barani")], R, "Only one skill noted: Barani right."),
    ],
)
def test_too_little_to_say(notes, side, words):
    found = sides(*notes)
    assert (found.one_side, found.side, found.disagree, found.sentence) == (None, side, (), words)


def test_the_last_note_of_a_skill_stands():
    early, late = date(2024, 4, 1), date(2025, 4, 1)
    assert sides((L, "barani", late), (R, "barani", early), (L, "full_in")).one_side is True
    assert sides((L, "barani", early), (R, "barani", late), (L, "full_in")).one_side is False
    assert sides((R, "barani", None), (L, "barani", early), (L, "full_in")).one_side is True


def test_a_round_off_goes_the_other_way():
    """Twist every skill the same way, round-off the opposite: an article of a provincial association."""
    assert sides((L, "barani"), (L, "full_in"), (R, "round_off")).one_side is True
    found = sides((L, "barani"), (L, "full_in"), (L, "round_off"))
    assert [one.rung for one in found.disagree] == ["round_off"]
    assert sides((L, "barani"), (L, "full_in"), (L, "round_off"), opposite=frozenset()).one_side is True
