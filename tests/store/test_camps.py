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
            lambda: camps.change_camp(connection, cast.camp(9)),
        ):
            with pytest.raises(UnknownThing):
                act()


def test_a_camp_can_be_described_anew(book):
    other = replace(cast.camp(2), name="Autumn", raters=("Coach Z",))
    with book.write() as connection:
        camps.change_camp(connection, other)
        assert camps.camp(connection, other.id) == other


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
