"""An answer is worked out once, and again after anything was written, by whomever."""

import pytest
from tests.desk import cast
from tests.desk.cast import TUCK, a_camp, a_desk, bring, child, payload, write

from loftbook.desk.answers import camp_answer
from loftbook.desk.entry import withdraw
from loftbook.desk.standing import remake_all
from loftbook.errors import UnknownThing


def alone(desk, camp):
    return camp_answer(desk, camp.id).inventory.rung(TUCK).alone


def test_seen_again_it_is_the_same_answer(made):
    assert camp_answer(made.desk, made.today.id) is camp_answer(made.desk, made.today.id)


def test_after_a_write_it_is_a_new_one(made):
    before = camp_answer(made.desk, made.today.id)
    turn = payload(made.today, made.mira)
    write(made.desk, turn)
    assert alone(made.desk, made.today) == (made.mira,)
    withdraw(made.desk, turn.id, by="H. Alder")
    assert alone(made.desk, made.today) == ()
    assert before.turns == 0  # what was given out is never changed


def test_a_write_at_another_camp_changes_what_changed(made):
    write(made.desk, payload(made.today, made.mira))
    before = camp_answer(made.desk, made.today.id).changes
    write(made.desk, payload(made.autumn, made.mira))
    assert camp_answer(made.desk, made.today.id).changes != before


def test_another_program_that_writes_is_noticed(tmp_path):
    """The pages are open, and somebody imports a list from the command line."""
    pages, command = a_desk(tmp_path / "camp.book"), a_desk(tmp_path / "camp.book")
    (who,) = bring(pages, child("Mira", "Moss"))
    camp = a_camp(pages, "Camp", cast.SPRING_26)
    assert alone(pages, camp) == ()
    write(command, payload(camp, who))
    assert alone(pages, camp) == (who,)
    remake_all(command)
    assert alone(pages, camp) == (who,)
    for desk in (pages, command):
        desk.store.close()


def test_answers_do_not_pile_up(made):
    days = [cast.date(2020, month, day) for month in (1, 2, 3) for day in range(1, 11)]
    for number, day in enumerate(days):
        camp_answer(made.desk, a_camp(made.desk, f"Camp {number}", day).id)
    assert len(made.desk.answers) <= 16


def test_what_failed_is_not_kept(made):
    for _ in range(2):
        with pytest.raises(UnknownThing):
            camp_answer(made.desk, cast.UUID(int=4))
    assert made.desk.answers == {}
