"""Camps in order, and who was expected at each."""

from dataclasses import replace
from datetime import UTC, date, datetime
from uuid import UUID

import pytest
from tests.store import cast

from loftbook.errors import Refused, UnknownThing
from loftbook.insight.standing import State
from loftbook.store import camps, standings
from loftbook.store.database import open_book

pytestmark = pytest.mark.both_engines

LATER = datetime(2031, 5, 6, 7, 8, tzinfo=UTC)
A, B = cast.athlete(1).id, cast.athlete(2).id


def test_a_camp_comes_back_as_it_was_put_in():
    full = cast.camp(
        7,
        place="Hall of the invented town",
        bed="bed A",
        take_off="trampoline",
        landing="pit_with_mat",
        raters=("Coach R", "Coach Q"),
        invented=True,
        recorded=datetime(2025, 1, 2, 3, 4, tzinfo=UTC),
    )
    book = open_book(":memory:")
    with book.write() as connection:
        assert camps.last_camp(connection) is None
        camps.add_camp(connection, full)
        assert camps.camp(connection, full.id) == full
        assert camps.last_camp(connection) == full
    book.close()


def test_camps_are_told_earliest_first(book):
    with book.write() as connection:
        camps.add_camp(connection, cast.camp(0))
        assert [camp.name for camp in camps.camps(connection)] == [f"Camp {n}" for n in range(6)]
        some = camps.camps(connection, {cast.camp(4).id, cast.camp(2).id, UUID(int=1)})
        assert [camp.name for camp in some] == ["Camp 2", "Camp 4"]
        assert camps.last_camp(connection) == cast.camp(5)


def test_a_camp_that_ends_before_it_starts_is_refused(book):
    backwards = replace(cast.camp(9), ends=date(1999, 1, 1))
    with book.write() as connection, pytest.raises(Refused, match="check both days"):
        camps.add_camp(connection, backwards)


def test_an_unknown_camp_teaches_where_to_look(book):
    with book.write() as connection:
        for act in (
            lambda: camps.camp(connection, UUID(int=1)),
            lambda: camps.change_camp(connection, cast.camp(9), at=LATER),
        ):
            with pytest.raises(UnknownThing):
                act()


def test_a_camp_can_be_described_anew(book):
    other = replace(cast.camp(2), name="Autumn", raters=("Coach Z",))
    with book.write() as connection:
        assert camps.change_camp(connection, other, at=LATER, by="Coach Z") is True
        assert camps.camp(connection, other.id) == other


def test_what_a_camp_was_called_before_is_kept_once_for_each_change(book):
    first = cast.camp(2)
    second, third = replace(first, name="Autumn"), replace(first, name="Autumn", ends=date(2030, 1, 9))
    with book.write() as connection:
        camps.change_camp(connection, second, at=LATER, by="Coach Z")
        assert camps.change_camp(connection, second, at=LATER, by="Coach Z") is False
        camps.change_camp(connection, third, at=LATER, by="Coach Y")
        before = camps.camp_before(connection, first.id)
        assert [(dict(one.was), one.by, one.until) for one in before] == [
            ({"name": first.name}, "Coach Z", LATER),
            ({"ends": first.ends.isoformat()}, "Coach Y", LATER),
        ]
        assert camps.camp_before(connection, cast.camp(1).id) == ()


def test_who_is_expected_no_more_leaves_the_list_and_only_this_one(book):
    with book.write() as connection:
        for camp in (1, 2):
            camps.expect(connection, cast.camp(camp).id, {A: "17", B: ""})
        assert camps.expect_no_more(connection, cast.camp(1).id, [A, UUID(int=3)]) == 1
        assert camps.expected(connection, cast.camp(1).id) == {B: ""}
        assert camps.expected(connection, cast.camp(2).id) == {A: "17", B: ""}


def test_a_camp_of_a_book_from_before_assumed_surfaces_reads_as_said(book):
    with book.write() as connection:
        connection.exec_driver_sql("UPDATE camp SET surfaces_assumed = NULL")
        assert camps.camp(connection, cast.camp(2).id) == cast.camp(2)


def test_who_is_expected_with_which_number(book):
    with book.write() as connection:
        assert camps.expect(connection, cast.camp(1).id, {A: "17", B: ""}) == 2
        assert camps.expect(connection, cast.camp(1).id, {A: "17", B: ""}) == 0
        assert camps.expect(connection, cast.camp(1).id, {A: "", B: "x9"}) == 1
        assert camps.expected(connection, cast.camp(1).id) == {A: "17", B: "x9"}
        assert camps.expected(connection, cast.camp(2).id) == {}


def test_the_camps_of_a_gymnast_are_those_where_she_was_expected_or_stands(book):
    with book.write() as connection:
        camps.expect(connection, cast.camp(3).id, {A: ""})
        row = cast.standing(1, 1, "double_tuck", State.ABSENT)
        standings.replace_standings(connection, row.camp, [A], [row])
        assert camps.camps_of(connection, [A, B]) == {A: (cast.camp(1), cast.camp(3)), B: ()}
