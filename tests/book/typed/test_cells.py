"""Dates, heights, names and marks, one cell at a time."""

from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st
from openpyxl.utils.datetime import from_excel
from tests.book.typed.cast import TODAY

from loftbook.book.typed.dates import date_order, read_date
from loftbook.book.typed.heights import HIGHEST, LOWEST, read_height, unit_in_heading
from loftbook.book.typed.marks import ASKED_ALWAYS, mark_code, read_mark
from loftbook.book.typed.names import name_from_columns, read_name
from loftbook.book.typed.words import fold, tidy
from loftbook.ladder.scales import Help, Outcome, Rotation

metre = 1.0
millimetre = 0.001 * metre


def day(text, order=""):
    return read_date(text, today=TODAY, order=order).day


@pytest.mark.parametrize(
    "typed",
    [
        "2017-08-09", "09.08.17", "9.8.2017", "09/08/2017", "9 Aug 2017", "Aug 9, 2017", "9th of August 2017",
        "9. August 2017", "9 août 2017", "9 de agosto de 2017", "2017/08/09", "20170809", "Wed 9 Aug 2017",
        "2017-08-09 00:00:00", "2017-08-09T00:00:00", "9-Aug-17", "09-08-2017", " 9 / 8 / 2017 ", "9.8.'17",
    ],
)  # fmt: skip
def test_one_day_in_many_forms(typed):
    assert day(typed, "day") == date(2017, 8, 9)


@given(st.dates(date(1940, 1, 1), date(2060, 1, 1)))
def test_a_spreadsheets_day_number(when):
    """The other engine: openpyxl's own reading of the number."""
    serial = (when - date(1899, 12, 30)).days
    assert from_excel(serial).date() == when == day(str(serial))


@given(st.dates(date(1930, 1, 1), TODAY), st.sampled_from("/.-"), st.booleans())
def test_the_order_of_day_and_month(when, sign, day_first):
    text = (
        f"{when.day}{sign}{when.month}{sign}{when.year}"
        if day_first
        else f"{when.month}{sign}{when.day}{sign}{when.year}"
    )
    assert day(text, "day" if day_first else "month") == when


def test_what_cannot_be_told_apart_gives_both():
    reading = read_date("03/05/2013", today=TODAY)
    assert reading.day is None
    assert reading.either == (date(2013, 5, 3), date(2013, 3, 5))
    assert day("26/05/2013") == date(2013, 5, 26)
    assert day("05/26/2013") == date(2013, 5, 26)
    assert day("05/05/2013") == date(2013, 5, 5)


def test_a_column_tells_the_order_or_says_that_it_cannot():
    assert date_order(["26/08/2016", "03/05/2013", "2014-10-26"]).order == "day"
    assert date_order(["08/26/2016", "03/05/2013"]).order == "month"
    assert date_order(["03.05.2013", "04.06.2014"]).order == "day"
    assert date_order(["09.30.13"]).order == "month"
    assert date_order(["26/08/2016", "08/26/2016", "01/02/2013"]).order == ""
    nothing = date_order(["03/05/2013", "04/06/2014"])
    assert (nothing.order, nothing.undecided) == ("", 2)


@pytest.mark.parametrize(
    ("typed", "problem"),
    [
        ("2014-31-02", "there is no month 31"),
        ("31/02/2014", "February 2014 has no day 31"),
        ("29.02.2015", "February 2015 has no day 29"),
        ("2014", "a whole date is needed"),
        ("10/2014", "a whole date is needed"),
        ("soon", "not a date in any form"),
        ("1/2.2014", "two ways"),
        ("=TODAY()", "not a date"),
        ("0000-01-01", "no year 0"),
        ("13-05-07", "the year could stand first or last"),
    ],
)
def test_dates_that_cannot_be(typed, problem):
    reading = read_date(typed, today=TODAY, order="day" if "/" in typed else "")
    assert reading.day is None
    assert problem in reading.problem


def test_the_29th_of_february():
    # Gregorian calendar (Inter gravissimas, 1582): 2000 and 2016 are leap years, 1900 is none
    assert day("29/02/2016", "day") == date(2016, 2, 29)
    assert day("29.02.2000") == date(2000, 2, 29)
    assert day("29/02/1900", "day") is None


def test_years_of_two_digits_end_today():
    assert day("01.02.26", "day") == date(2026, 2, 1)
    assert day("01.02.27", "day") == date(1927, 2, 1)


@pytest.mark.parametrize(
    ("typed", "metres"),
    [
        ("1,40 m", 1.40), ("159", 1.59), ("1.58", 1.58), ("1.58m", 1.58), ("1m45", 1.45), ("143 cm", 1.43),
        ("1431 mm", 1.431), ("1 m 45", 1.45), ("  137.5 cm ", 1.375),
        # one inch is 25.4 mm exactly (international yard and pound agreement, 1959): 57 in = 1.4478 m
        ("4'9\"", 1.4478), ("4 ft 9 in", 1.4478), ("4’9”", 1.4478), ("57 in", 1.4478), ("57\"", 1.4478), ("5ft", 1.524),
    ],
)  # fmt: skip
def test_heights(typed, metres):
    assert read_height(typed).metres == pytest.approx(
        metres, abs=0.5 * millimetre
    )  # a height is kept to the millimetre


@pytest.mark.parametrize(
    "typed",
    ["14.5 m", "14.5", "1.40 cm", "240", "0.5", "40", "4'13\"", "tall", "=A1", "1,4,0", "-140", "9'9\""],
)
def test_heights_of_nobody(typed):
    assert read_height(typed).metres is None
    assert read_height(typed).problem


def test_the_unit_of_the_heading():
    assert unit_in_heading("Height in") == "in"
    assert unit_in_heading("height in cm") == "cm"
    assert read_height("57", unit="in").metres == pytest.approx(1.4478, abs=0.5 * millimetre)
    assert read_height("57").metres is None
    assert "though the heading says cm" in read_height("1.58", unit="cm").note


@given(st.floats(0, 3000, allow_nan=False), st.sampled_from(["", "m", "cm", "mm", "in", "ft"]))
def test_no_height_outside_what_a_gymnast_has(number, unit):
    metres = read_height(f"{number:.2f}{unit}").metres
    assert metres is None or LOWEST <= metres <= HIGHEST


@pytest.mark.parametrize(
    ("typed", "given", "family"),
    [
        ("ČAPEK Calla", "Calla", "Čapek"),
        ("Calla ČAPEK", "Calla", "Čapek"),
        ("Berisha, Brisa", "Brisa", "Berisha"),
        ("Ayla Aalto", "Ayla", "Aalto"),
        ("VAN DER BERG Anna", "Anna", "van der Berg"),
        ("Anna van der Berg", "Anna", "van der Berg"),
        ("López García, Ana María", "Ana María", "López García"),
        ("O'NEIL Mary-Jane", "Mary-Jane", "O'Neil"),
        ("1. Ayla Aalto (new)", "Ayla", "Aalto"),
        ("🤸 Ayla Aalto", "Ayla", "Aalto"),
        ('Anna "Nini" Berg', 'Anna "Nini"', "Berg"),
        ("مريم حداد", "مريم", "حداد"),
        ("?APEK Calla", "Calla", "?apek"),
    ],
)
def test_names(typed, given, family):
    name = read_name(typed)
    assert (name.given, name.family) == (given, family)


def test_names_say_what_they_left_out_and_what_they_miss():
    assert "typed as" in read_name("1. Ayla Aalto (new)").note
    assert "🤸" in read_name("🤸 Ayla Aalto").note
    assert not read_name("Ayla Aalto").note
    assert read_name("Yara Y?ld?z").lost
    assert read_name("Yara Y\ufffdldiz").lost
    assert read_name("Madonna").confidence < 0.5
    assert "formula" in read_name("=cmd()").problem
    assert "no letter" in read_name("12").problem
    assert name_from_columns("", "").problem
    assert name_from_columns("=A1", "Berg").problem
    assert name_from_columns("Inés", "IBSEN").family == "Ibsen"


def test_hidden_signs_are_taken_out_of_text():
    assert tidy("Ayla\u202e \u200bAalto\x00\x07") == "Ayla Aalto"
    assert tidy("a\u0308") == "ä"
    assert fold("Straße Ÿ №") == "strasse y no"


DID, TRIED = Outcome.DID_IT, Outcome.TRIED


@pytest.mark.parametrize(
    ("typed", "outcome", "help_", "rotation"),
    [
        *(
            (tick, DID, Help.NOBODY_IN, None)
            for tick in ("x", "X ", "✓", "✔", "yes", "Y", "1", "done", "ja", "oui", "1.0")
        ),
        *((no, TRIED, None, None) for no in ("no", "n", "0", "Nein", "✗")),
        *((blank, Outcome.NOT_TRIED, None, None) for blank in ("-", "–", "—", "nt", "N/T")),
        *((hand, DID, Help.HAND, None) for hand in ("S", "sp.", "spot", "hand", "Hilfestellung")),
        ("belt", DID, Help.BELT, None),
        ("light spot", DID, Help.HAND_LIGHT, None),
        ("belt slack", DID, Help.BELT_SLACK, None),
        ("hands following", DID, Help.HANDS_FOLLOWING, None),
        ("short", TRIED, None, Rotation.SHORT),
        ("over", TRIED, None, Rotation.OVER),
        ("belt short", TRIED, Help.BELT, Rotation.SHORT),
        ("x belt", DID, Help.BELT, None),
        ("✓ (spot)", DID, Help.HAND, None),
        ("abs", Outcome.ABSENT, None, None),
        ("inj.", Outcome.NOT_ALLOWED, None, None),
        ("stopped", Outcome.STOPPED, None, None),
        ("declined", Outcome.DECLINED, None, None),
    ],
)
def test_marks(typed, outcome, help_, rotation):
    """Common practice, no source."""
    (meaning,) = read_mark(typed)
    assert (meaning.outcome, meaning.help, meaning.rotation) == (outcome, help_, rotation)


def test_several_turns_in_one_cell():
    assert [m.outcome for m in read_mark("✓✗✓")] == [DID, TRIED, DID]
    assert [m.help for m in read_mark("belt, then x")] == [Help.BELT, Help.NOBODY_IN]


@pytest.mark.parametrize(
    "typed",
    [
        "(x)",
        "x*",
        "x?",
        "=x",
        "x/belt",
        "2/3",
        "1/2",
        "10",
        "?",
        "a",
        "o",
        "n/a",
        "x short",
        "0,5",
        "1,0",
        "½",
        "wow",
        "🤸",
    ],
)
def test_marks_that_nobody_should_guess(typed):
    assert read_mark(typed) == ()


def test_no_mark_is_both_known_and_doubtful():
    assert not [code for code in ASKED_ALWAYS if mark_code(code) != code]
