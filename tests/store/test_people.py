"""Gymnasts with all their facts, in and out; the same list twice adds nothing."""

from datetime import date
from uuid import UUID

import pytest
import sqlalchemy as sa
from hypothesis import given, settings
from hypothesis import strategies as st
from tests.store import cast

from loftbook.book.attempts import Withdrawal
from loftbook.book.people import Athlete, ClubStay, FilmConsent, Height, Name, Person
from loftbook.errors import Refused, UnknownThing
from loftbook.store import attempts, camps, erasing, people, standings
from loftbook.store.database import open_book
from loftbook.store.people import Born

pytestmark = pytest.mark.both_engines

HER = cast.athlete(1).id


def test_everything_said_about_her_comes_back():
    book = open_book(":memory:")
    with book.write() as connection:
        people.add_athletes(connection, [cast.full_athlete()])
    with book.read() as connection:
        assert people.athletes(connection) == (cast.full_athlete(),)
        assert people.athlete(connection, HER) == cast.full_athlete()
    book.close()


TEXT = st.text(st.characters(exclude_categories=["Cs"], exclude_characters="\x00"), max_size=20)


@settings(max_examples=8, deadline=None)
@given(said=st.lists(st.tuples(TEXT, TEXT, st.none() | st.dates()), min_size=1, max_size=20))
def test_any_name_comes_back_as_it_was_written(said):
    book = open_book(":memory:")
    who = [
        Athlete(UUID(int=7 + number), (Name(given_name, family, day),), born=day)
        for number, (given_name, family, day) in enumerate(said)
    ]
    with book.write() as connection:
        people.add_athletes(connection, who)
        assert {one.id: one for one in people.athletes(connection)} == {one.id: one for one in who}
    book.close()


def test_facts_are_told_oldest_first_whatever_the_order_of_writing(book):
    with book.write() as connection:
        people.add_facts(connection, {HER: [Name("Now", "Called", date(2025, 1, 1))]})
        people.add_facts(connection, {HER: [Name("Once", "Called", date(2020, 1, 1))]})
        names = people.athlete(connection, HER).names
    assert [name.given for name in names] == ["Given1", "Once", "Now"]


def test_the_same_facts_twice_add_nothing(book):
    said = {
        HER: [Height(1.41, date(2025, 4, 5)), ClubStay("Ridge"), ClubStay("Ridge"), Born(date(2013, 1, 1))]
    }
    with book.write() as connection:
        assert people.add_facts(connection, said) == 3
        assert people.add_facts(connection, said) == 0
        assert len(people.athlete(connection, HER).clubs) == 1


def test_a_later_birthday_corrects_an_earlier_one_and_both_are_kept(book):
    with book.write() as connection:
        people.add_facts(connection, {HER: [Born(date(2013, 1, 2))]})
        people.add_facts(connection, {HER: [Born(date(2013, 2, 1))]})
        assert people.athlete(connection, HER).born == date(2013, 2, 1)
        assert connection.exec_driver_sql("SELECT count(*) FROM birth").scalar() == 2


def test_a_no_to_filming_without_a_day_has_the_last_word(book):
    with book.write() as connection:
        people.add_facts(connection, {HER: [FilmConsent(False), FilmConsent(True, date(2025, 4, 5))]})
        assert not people.athlete(connection, HER).may_be_filmed
        other = cast.athlete(2).id
        people.add_facts(connection, {other: [FilmConsent(True), FilmConsent(False, date(2025, 4, 5))]})
        assert not people.athlete(connection, other).may_be_filmed


@pytest.mark.parametrize("metres", [14.5, 0.0145, -1.4, 145.0])
def test_a_height_that_nobody_has_is_refused(book, metres):
    with pytest.raises(Refused), book.write() as connection:
        people.add_facts(connection, {HER: [Height(metres)]})


def test_nobody_and_nameless(book):
    with book.write() as connection:
        with pytest.raises(UnknownThing):
            people.athlete(connection, UUID(int=5))
        with pytest.raises(Refused, match="not in the book"):
            people.add_facts(connection, {UUID(int=5): [Height(1.4)]})
        with pytest.raises(Refused, match="without a name"):
            people.add_athletes(connection, [Athlete(UUID(int=5), ())])
        assert people.athletes(connection, [UUID(int=5)]) == ()
        assert people.athletes(connection, []) == ()


@pytest.mark.parametrize("count", [1, 8])
def test_a_squad_takes_seven_queries_however_many_they_are(book, count):
    asked = []
    sa.event.listen(book.engine, "before_cursor_execute", lambda *call: asked.append(call[2]))
    with book.read() as connection:
        people.athletes(connection, [cast.athlete(number).id for number in range(1, count + 1)])
    assert len([text for text in asked if text.startswith("SELECT")]) == 7


def test_more_ids_than_one_statement_holds(book):
    more = [cast.athlete(number) for number in range(1000, 2300)]
    with book.write() as connection:
        people.add_athletes(connection, more)
        assert len(people.athletes(connection, [who.id for who in more])) == 1300


def test_coaches_by_name(book):
    two = [Person(UUID(int=2), "Zed"), Person(UUID(int=1), "Ada", "entry")]
    with book.write() as connection:
        for one in two:
            people.add_person(connection, one)
        assert people.people(connection) == (two[1], two[0])


def test_a_child_is_erased_in_one_step_and_nobody_else(book, tmp_path):
    store = open_book(tmp_path / "camp.book")
    hers = cast.attempt(1, note="unmistakable words")
    others = cast.attempt(2, athlete=cast.athlete(2).id, replaces=hers.id)
    withdrawn = Withdrawal(UUID(int=1), hers.id, "Coach Q", hers.at)
    with store.write() as connection:
        people.add_athletes(connection, [cast.full_athlete(), cast.athlete(2)])
        camps.add_camp(connection, cast.camp(1))
        camps.expect(connection, cast.camp(1).id, {HER: "17"})
        attempts.add_attempts(connection, [hers, others])
        attempts.add_withdrawals(connection, [withdrawn])
        standings.rebuild_standings(connection, cast.last_word)
    with store.write() as connection:
        gone = erasing.erase_athlete(connection, HER)
    store.tidy()
    assert (gone["attempt"], gone["withdrawal"], gone["height"], gone["athlete"]) == (1, 1, 2, 1)
    with store.read() as connection:
        assert [who.id for who in people.athletes(connection)] == [cast.athlete(2).id]
        assert [a.id for a in attempts.attempts_of_camp(connection, cast.camp(1).id)] == [others.id]
    assert store.damage() == ()
    store.close()
    left = b"".join(file.read_bytes() for file in tmp_path.iterdir())
    for words in (b"unmistakable words", b"Given1", b"o@example.org", str(HER).encode()):
        assert words not in left
