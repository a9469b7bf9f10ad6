"""The marks of the camp before are hidden until the new mark is in, and shown after."""

import pytest
from tests.desk.cast import PIKE, TUCK, blank, payload, write

from loftbook.desk.entry import earlier_marks_of, entry_sheet, withdraw

SECRET = "what was said in autumn"


@pytest.fixture
def seen(made):
    """Marks of Mira and Noa at two camps before; nothing at today's."""
    for who in (made.mira, made.noa):
        for rung in (TUCK, PIKE):
            write(made.desk, payload(made.spring, who, rung, note="what was said in spring"))
            write(made.desk, payload(made.autumn, who, rung, note=SECRET, marks={"lift": 1}))
    return made


def look(made, who=None, rung=TUCK, camp=None):
    return earlier_marks_of(made.desk, (camp or made.today).id, who or made.mira, (rung,))[rung]


def test_before_the_mark_is_in_nothing_is_sent(seen):
    found = look(seen)
    assert (found.shown, found.attempts, found.camp) == (False, (), None)
    assert "Hidden until" in found.why


def test_the_sheet_itself_holds_nothing_of_an_earlier_camp(seen):
    assert SECRET not in repr(entry_sheet(seen.desk, seen.today.id))


def test_after_it_is_in_the_last_camp_is_shown(seen):
    write(seen.desk, payload(seen.today, seen.mira))
    found = look(seen)
    assert found.shown
    assert found.camp == seen.autumn
    assert [turn.note for turn in found.attempts] == [SECRET]


@pytest.mark.parametrize(("who", "rung"), [("noa", TUCK), ("mira", PIKE)])
def test_one_mark_opens_nothing_else(seen, who, rung):
    write(seen.desk, payload(seen.today, seen.mira))
    assert not look(seen, getattr(seen, who), rung).shown


def test_a_blank_is_a_mark_too(seen):
    write(seen.desk, blank(seen.today, seen.mira, outcome="declined"))
    assert look(seen).shown


def test_taken_back_it_is_hidden_again(seen):
    turn = payload(seen.today, seen.mira)
    write(seen.desk, turn)
    withdraw(seen.desk, turn.id, by="H. Alder")
    assert not look(seen).shown


def test_a_later_camp_is_not_an_earlier_one(seen):
    write(seen.desk, payload(seen.today, seen.mira))
    found = look(seen, camp=seen.spring)
    assert (found.shown, found.attempts) == (True, ())
    assert "Nothing was written" in found.why


def test_the_first_time_there_is_nothing_to_look_back_at(seen):
    write(seen.desk, payload(seen.today, seen.otylia))
    found = look(seen, seen.otylia)
    assert (found.shown, found.camp) == (True, None)
