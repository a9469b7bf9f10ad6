"""A mark that moved is told only where marking alone does not move it so far."""

import pytest
from tests.insight.test_agreement import mark

from loftbook.insight.agreement.error import MarkErrors, mark_error
from loftbook.insight.agreement.tally import tally
from loftbook.insight.change_marks import Move, mark_moves
from loftbook.ladder.shipped import shipped_ladder

LADDER = shipped_ladder()
ALIKE, ONE_APART = (1, 1), (1, 2)


def error(pairs):
    return mark_error(tally(pairs, categories=3))


def move(then, now, errors, **more):
    old, new = (mark(1, marks={"form": level}) for level in (then, now))
    (found,) = mark_moves([old], [mark(1, marks=new.marks, **more)], LADDER, errors=errors)
    return found


STEADY = MarkErrors({"form": error([ALIKE] * 60)})
USUAL = MarkErrors({"form": error([ALIKE] * 45 + [ONE_APART] * 15)})
FEW = MarkErrors({"form": error([ALIKE] * 20)})


@pytest.mark.parametrize(
    ("then", "now", "errors", "told"),
    [
        (2, 2, FEW, Move.SAME),
        (1, 2, FEW, Move.CANNOT_TELL),
        (1, 3, FEW, Move.CANNOT_TELL),
        (1, 2, MarkErrors(), Move.CANNOT_TELL),
        (1, 2, USUAL, Move.WITHIN_MARKING),
        (3, 2, USUAL, Move.WITHIN_MARKING),
        (1, 3, USUAL, Move.MORE_THAN_MARKING),
        (1, 2, STEADY, Move.MORE_THAN_MARKING),
    ],
)
def test_a_move_is_told_by_what_marking_alone_makes(then, now, errors, told):
    assert move(then, now, errors).move is told


def test_one_person_is_held_against_her_own_marking():
    own = MarkErrors(USUAL.two_people, {"Q": STEADY.two_people})
    assert move(1, 2, own).move is Move.MORE_THAN_MARKING
    assert move(1, 2, own, rater="R").move is Move.WITHIN_MARKING


def test_two_editions_are_not_compared():
    old, new = mark(1, marks={"form": 1}), mark(1, marks={"form": 3}, edition="2")
    (found,) = mark_moves([old], [new], LADDER, errors=STEADY)
    assert found.move is Move.CANNOT_TELL
    assert "another edition" in found.sentence


def test_of_several_turns_the_middle_mark_counts():
    now = [mark(n, marks={"form": level}) for n, level in enumerate((1, 3, 3))]
    (found,) = mark_moves([mark(9, marks={"form": 3})], now, LADDER, errors=STEADY)
    assert (found.then, found.now) == (3, 3)


def test_a_criterion_marked_once_only_is_left_out():
    assert mark_moves([mark(1, marks={"form": 3})], [mark(2, marks={"lift": 3})], LADDER, errors=STEADY) == ()
