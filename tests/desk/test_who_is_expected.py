"""Who is expected at a camp: proposed from the roster, said by the coach, and shown first where results are written."""

from datetime import date, timedelta
from uuid import UUID

import pytest
from tests.desk import cast
from tests.desk.cast import SPRING_26, bring, child, everything, named, payload, roster_of, write

from loftbook.desk.entry import entry_sheet
from loftbook.desk.expecting import expect, expect_named, expecting
from loftbook.desk.importing import read_roster_file
from loftbook.desk.plan import camp_plan
from loftbook.desk.sheet import Who, day_sheet
from loftbook.errors import Refused, UnknownThing

ROSTER = roster_of("Ada Ashdown;2014-03-02;Tollgate Gym;left;", "Bea Birch;2014-05-06;Tollgate Gym;;")


@pytest.fixture
def camp(made):
    """A camp of which nobody said yet who is expected."""
    return cast.a_camp(made.desk, "Extra camp", SPRING_26 + timedelta(days=14))


def test_until_somebody_says_so_the_whole_squad_is_proposed(made, camp):
    found = expecting(made.desk, camp.id)
    assert (found.said, found.why, found.who) == (False, "everybody in the squad", set(made.everyone))


def test_the_newest_roster_read_since_the_camp_before_is_proposed(made):
    expect(made.desk, made.today.id, ())
    read_roster_file(made.desk, ROSTER, "roster.csv", write=True)
    found = expecting(made.desk, made.today.id)
    assert [a.name.full for a in found.expected] == ["Ada Ashdown", "Bea Birch"]
    assert (found.said, found.why) == (False, "the roster roster.csv, read on 2026-04-11")


def test_a_roster_from_before_the_camp_before_is_not_proposed(made):
    read_roster_file(made.desk, ROSTER, "roster.csv", write=True)  # read on 11 April 2026, a day of a camp
    cast.a_camp(made.desk, "May camp", date(2026, 5, 9))
    later = cast.a_camp(made.desk, "June camp", date(2026, 6, 13))
    assert expecting(made.desk, later.id).why == "everybody in the squad"


def test_what_is_said_stands_with_the_numbers_and_nobody_else(made, camp):
    expect(made.desk, camp.id, [made.mira, made.noa], bibs={made.mira: "17", made.rika: "5"})
    found = expecting(made.desk, camp.id)
    assert (found.said, found.who, dict(found.bibs)) == (
        True,
        {made.mira, made.noa},
        {made.mira: "17", made.noa: ""},
    )
    assert [a.id for a in entry_sheet(made.desk, camp.id).athletes] == [made.mira, made.noa]


def test_saying_the_same_again_changes_nothing(made, camp):
    expect(made.desk, camp.id, [made.mira, made.noa], bibs={made.mira: "17"})
    before = everything(made.desk)
    expect(made.desk, camp.id, [made.noa, made.mira])
    assert everything(made.desk) == before


def test_a_number_can_be_taken_away_and_a_child_off_the_list_without_her_results(made, camp):
    expect(made.desk, camp.id, [made.mira, made.noa], bibs={made.mira: "17", made.noa: "18"})
    write(made.desk, payload(made.today, made.mira))
    expect(made.desk, made.today.id, [made.noa])
    sheet = entry_sheet(made.desk, made.today.id)
    assert [a.id for a in sheet.athletes] == [made.noa, made.mira]  # the expected one first
    assert sheet.entered
    expect(made.desk, camp.id, [made.mira], bibs={})
    assert dict(expecting(made.desk, camp.id).bibs) == {made.mira: ""}


def test_with_nobody_the_list_is_taken_back(made):
    expect(made.desk, made.today.id, ())
    assert not expecting(made.desk, made.today.id).said
    assert len(entry_sheet(made.desk, made.today.id).athletes) == 5


@pytest.mark.parametrize(
    ("bibs", "error", "said"),
    [({"mira": "7", "noa": "7"}, Refused, "two backs"), ({"mira": "7" * 13}, Refused, "12 characters")],
)
def test_numbers_that_cannot_be_are_refused_and_nothing_changes(made, camp, bibs, error, said):
    before = everything(made.desk)
    with pytest.raises(error, match=said):
        expect(
            made.desk,
            camp.id,
            [made.mira, made.noa],
            bibs={getattr(made, who): bib for who, bib in bibs.items()},
        )
    assert everything(made.desk) == before


def test_somebody_who_is_not_in_the_book_cannot_be_expected(made, camp):
    with pytest.raises(UnknownThing):
        expect(made.desk, camp.id, [UUID(int=1)])
    with pytest.raises(UnknownThing):
        expect(made.desk, UUID(int=2), [made.mira])


def test_by_names_one_is_added_and_one_dropped(made, camp):
    expect_named(made.desk, camp.id, add={"Mira Moss": "17", "Noa O’Nettle": ""})
    found = expect_named(made.desk, camp.id, add={"Rika": "3"}, drop=["Noa O’Nettle"])
    assert dict(found.bibs) == {made.mira: "17", made.rika: "3"}
    assert expect_named(made.desk, camp.id, add={}, nobody=True).said is False
    everyone_but = expect_named(made.desk, camp.id, add={}, drop=["Mira Moss"])
    assert everyone_but.who == set(made.everyone) - {made.mira}


def test_a_roster_can_say_by_itself_who_is_expected_at_which_camp(made, camp):
    report = read_roster_file(made.desk, ROSTER, "roster.csv", camp=camp.id, write=True)
    assert "Expected at “Extra camp”" in report.as_markdown()
    found = expecting(made.desk, camp.id)
    assert (found.said, [a.name.full for a in found.expected]) == (True, ["Ada Ashdown", "Bea Birch"])
    before = everything(made.desk)
    read_roster_file(made.desk, ROSTER, "roster.csv", camp=camp.id, write=True)
    assert everything(made.desk) == before


def test_a_dry_run_of_a_roster_expects_nobody(made, camp):
    before = everything(made.desk)
    read_roster_file(made.desk, ROSTER, "roster.csv", camp=camp.id)
    assert everything(made.desk) == before


def test_others_are_found_by_a_part_of_a_name_and_never_twice(made):
    (guest,) = bring(made.desk, child("Zora", "Guest"))
    sheet = entry_sheet(made.desk, made.today.id, find="zor GUE")
    assert [a.id for a in sheet.found] == [guest]
    assert entry_sheet(made.desk, made.today.id, find="Moss").found == ()  # she is expected, and stands above
    assert entry_sheet(made.desk, made.today.id, find="  ").found == ()


def test_plan_and_day_sheet_put_the_expected_before_a_guest(made):
    (guest,) = bring(made.desk, child("Aba", "Aaguest"))
    write(made.desk, payload(made.today, guest))
    expect(made.desk, made.today.id, made.everyone, bibs={})
    assert camp_plan(made.desk, made.today.id).athletes[-1].id == guest
    assert day_sheet(made.desk, Who(), made.today.id)["athletes"][-1]["id"] == str(guest)
    assert named(made.desk, "Aba Aaguest") == guest
