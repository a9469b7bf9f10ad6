"""The squad's page: everybody once, where she stood last, and what the book does not know of her."""

import pytest
from tests.desk import cast
from tests.desk.cast import NOW, PIKE, blank, bring, child, payload, write

from loftbook.desk.answers import squad_answer
from loftbook.insight.standing import State


def row(made, who):
    return next(one for one in squad_answer(made.desk).athletes if one.athlete.id == who)


def test_it_works(made):
    write(
        made.desk, payload(made.spring, made.mira), payload(made.autumn, made.mira, PIKE, help="belt_light")
    )
    answer = squad_answer(made.desk)
    assert [r.athlete.name.family for r in answer.athletes] == [
        "Moss",
        "O’Nettle",
        "Pine",
        "Quince",
        "Sorrel",
    ]
    assert answer.camps == (made.today, made.autumn, made.spring)
    mira = row(made, made.mira)
    assert (mira.last_camp, mira.club) == (made.autumn, "Kittiwake Gym")
    assert {key: s.state for key, s in mira.standings.items()} == {PIKE: State.HELPED}
    # Born on 1 May 2014, and the clock stands on 11 April 2026: 345 days after her eleventh birthday.
    assert mira.age == pytest.approx(11 + 345 / 365.2425, abs=0.05)
    assert NOW.year == 2026


def test_a_camp_where_she_was_away_is_not_her_last(made):
    write(made.desk, payload(made.autumn, made.mira), blank(made.today, made.mira, outcome="absent"))
    assert row(made, made.mira).last_camp == made.autumn


def test_one_without_a_camp_stands_there_all_the_same(made):
    assert (row(made, made.noa).last_camp, row(made, made.noa).standings) == (None, {})


def test_what_is_missing_is_said_in_words(made):
    (bare,) = bring(made.desk, child("Zora", "Bare", born=None, clubs=(), heights=()))
    assert row(made, bare).missing == (
        "date of birth",
        "height",
        "twist side",
        "word on filming",
        "home coach",
    )
    assert row(made, bare).age is None
    assert "height" not in row(made, made.mira).missing


def test_an_empty_book_is_an_empty_squad(desk):
    answer = squad_answer(desk)
    assert (answer.athletes, answer.camps, answer.invented) == ((), (), False)
    assert len(answer.rungs) == 3


def test_real_people_are_not_called_invented(desk):
    cast.read_roster_file(desk, cast.shipped("roster.csv"), "roster.csv", write=True)
    assert not squad_answer(desk).invented
