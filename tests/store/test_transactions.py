"""Reading and writing: all or nothing, one revision a write, our own errors only."""

import threading
from datetime import datetime

import pytest
import sqlalchemy as sa
from tests.store import cast

from loftbook.errors import BookFileError, LoftbookError, RangeError, Refused
from loftbook.insight.standing import Standing, State
from loftbook.store import attempts, meta, people, schema, standings
from loftbook.store.database import open_book

pytestmark = pytest.mark.both_engines


def test_a_write_that_fails_leaves_nothing_behind(book):
    before = book.revision()

    def change_and_fail():
        with book.write() as connection:
            people.add_athletes(connection, [cast.athlete(99)])
            raise ZeroDivisionError

    with pytest.raises(ZeroDivisionError):
        change_and_fail()
    with book.read() as connection:
        assert people.athletes(connection, [cast.athlete(99).id]) == ()
    assert book.revision() == before


def test_each_write_counts_once_and_inner_ones_join(book):
    before = book.revision()
    with book.write() as outer, book.write() as inner, book.read() as reading:
        assert outer is inner is reading
    assert book.revision() == before + 1


def test_a_write_inside_a_read_is_a_mistake(book):
    with book.read(), pytest.raises(RuntimeError, match="open the write first"), book.write():
        pass


def test_reading_cannot_write(book):
    with pytest.raises(BookFileError), book.read() as connection:
        people.add_athletes(connection, [cast.athlete(99)])


def test_a_reader_keeps_its_view_while_another_thread_writes(tmp_path):
    book = open_book(tmp_path / "camp.book")

    def write():
        with book.write() as connection:
            people.add_athletes(connection, [cast.athlete(1)])

    with book.read() as connection:
        assert people.athletes(connection) == ()
        other = threading.Thread(target=write)
        other.start()
        other.join()
        assert people.athletes(connection) == ()
    with book.read() as connection:
        assert len(people.athletes(connection)) == 1
    book.close()


def test_threads_take_turns_in_memory(book):
    def write(number):
        with book.write() as connection:
            people.add_athletes(connection, [cast.athlete(number)])

    threads = [threading.Thread(target=write, args=(number,)) for number in range(100, 120)]
    for one in threads:
        one.start()
    for one in threads:
        one.join()
    with book.read() as connection:
        assert len(people.athletes(connection)) == 28


def test_somebody_who_is_not_in_the_book_is_refused_by_the_database(book):
    stray = Standing(cast.athlete(99).id, cast.camp(1).id, "double_tuck", State.ALONE)
    with pytest.raises(Refused, match="does not have"), book.write() as connection:
        standings.replace_standings(connection, cast.camp(1).id, [stray.athlete], [stray])


def test_somebody_twice_is_refused(book):
    with pytest.raises(Refused, match="already has"), book.write() as connection:
        people.add_athletes(connection, [cast.athlete(1)])


@pytest.mark.parametrize("number", [2**63, -(2**63) - 1, 2**200])
def test_a_number_over_64_bits_is_a_sentence(book, number):
    big = Standing(cast.athlete(1).id, cast.camp(1).id, "double_tuck", State.ALONE, turns=number)
    with pytest.raises(RangeError, match="19 digits"), book.write() as connection:
        standings.replace_standings(connection, big.camp, [big.athlete], [big])


def test_the_largest_number_of_64_bits_is_kept(book):
    big = Standing(cast.athlete(1).id, cast.camp(1).id, "double_tuck", State.ALONE, turns=2**63 - 1)
    with book.write() as connection:
        standings.replace_standings(connection, big.camp, [big.athlete], [big])
        assert standings.standings_of_camp(connection, big.camp) == (big,)


WRONG = [
    {"at": datetime(2025, 4, 5, 9, 30)},  # noqa: DTZ001 (the missing zone is the mistake)
    {"at": "2025-04-05"},
    {"rung": 7},
    {"rung": None},
    {"note": "half a \ud83e character"},
    {"note": "with\x00in"},
    {"help": 40},
    {"outcome": "did_it"},
    {"marks": {"lift": object()}},
    {"camp": "Camp 1"},
]


@pytest.mark.parametrize("wrong", WRONG, ids=lambda wrong: str(*wrong))
def test_a_value_of_the_wrong_kind_is_refused(book, wrong):
    with pytest.raises(LoftbookError), book.write() as connection:
        attempts.add_attempts(connection, [cast.attempt(1, **wrong)])
    with book.read() as connection:
        assert attempts.attempts_of_camp(connection, cast.camp(1).id, all=True) == ()


def test_sqlite_itself_refuses_the_wrong_kind(book):
    """STRICT tables: a text in a number's column is refused even where Python is bypassed."""
    with pytest.raises(Refused, match="wrong kind"), book.write() as connection:
        connection.exec_driver_sql("UPDATE book SET revision = 'many'")


def test_a_word_that_this_loftbook_does_not_know_is_named(book):
    with book.write() as connection:
        attempts.add_attempts(connection, [cast.attempt(1)])
        connection.exec_driver_sql("UPDATE attempt SET outcome = 'flew'")
    with pytest.raises(BookFileError, match="'flew'"), book.read() as connection:
        attempts.attempts_of_camp(connection, cast.camp(1).id)


def test_a_mistake_in_sql_does_not_leak_the_library(book):
    with pytest.raises(BookFileError), book.read() as connection:
        connection.execute(sa.text("SELECT nothing FROM nowhere"))


def test_choices_of_the_programme_are_kept_and_replaced(book):
    with book.write() as connection:
        meta.choose(connection, "programme", {"name": "Invented programme", "since": 2024})
        meta.choose(connection, "programme", {"name": "Other"})
        assert meta.settings(connection) == {"programme": {"name": "Other"}}


def test_a_book_has_an_id_of_its_own(book, tmp_path):
    other = open_book(tmp_path / "other.book")
    with book.read() as one, other.read() as two:
        assert meta.book_id(one) != meta.book_id(two)
    other.close()


def test_no_body_measure_but_height_has_a_column():
    """No weight, anywhere: the promise on the first page of the design."""
    columns = {column.name for table in schema.metadata.tables.values() for column in table.c}
    assert not columns & {"weight", "mass", "bmi", "kg", "body_mass", "weight_kg"}
