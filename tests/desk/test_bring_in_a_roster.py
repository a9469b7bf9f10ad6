"""Bringing in a roster: said row by row, asked where it cannot be told, and twice changes nothing."""

from datetime import date

import pytest
from tests.desk import cast
from tests.desk.cast import LISTS, counts, everything, named, names, roster_of, shipped

from loftbook.desk.importing import answers_from, read_roster_file
from loftbook.desk.people import athlete
from loftbook.errors import ListError, LoftbookError
from loftbook.store import imports


def bring_in(desk, data=None, **options):
    options = {"write": True} | options
    return read_roster_file(desk, shipped("roster.csv") if data is None else data, "roster.csv", **options)


def test_it_works(desk):
    report = bring_in(desk)
    # roster.csv has 30 rows of children: 28 stand, one has an impossible date, one stands there twice.
    assert counts(desk)["athlete"] == 28
    assert report.counts == {"ask": 1, "refuse": 1, "skip": 0, "take": 28, "same": 0}
    brisa = athlete(desk, named(desk, "Brisa Berisha"))
    assert (brisa.born, brisa.club.club, brisa.height.metres) == (
        date(2016, 8, 26),
        "Harbour Gymnastics",
        1.59,
    )
    assert (brisa.twists[-1].side.value, brisa.may_be_filmed, brisa.invented) == ("left", True, False)


def test_twice_changes_nothing(desk):
    bring_in(desk)
    before = everything(desk)
    again = bring_in(desk)
    assert everything(desk) == before
    assert again.facts == ()


def test_the_first_report_is_kept_when_a_repeat_has_nothing_to_say(desk):
    first = bring_in(desk)
    bring_in(desk)
    with desk.store.read() as connection:
        (kept,) = imports.imports(connection)
    assert kept.report["counts"] == dict(first.counts)


def test_the_impossible_date_and_the_duplicate_are_named(desk):
    text = bring_in(desk).as_markdown()
    assert "Row 30: Lumi Lindqvist: there is no month 31; nothing of the row was taken" in text
    assert "Row 31: Birgit Berisha, born 30 September 2016, stands in row 29 already" in text
    assert "`2014-31-02" in text.replace("; ", "`")  # as typed, beside it


def test_a_row_that_cannot_be_read_loses_no_other(desk):
    bring_in(desk, roster_of("Ayla Aalto;2014-31-02;;;", "Brisa Berisha;2016-08-26;;;", ";2016-01-01;;;"))
    assert names(desk) == ["Brisa Berisha"]


def test_a_dry_run_says_the_same_and_writes_nothing(desk):
    before = everything(desk)
    said = bring_in(desk, write=False)
    assert everything(desk) == before
    assert said.rows == bring_in(desk).rows


@pytest.mark.parametrize(
    ("answer", "clubs", "people"),
    [
        ("moved", ["Harbour Gymnastics", "Saltmarsh Gym"], 28),
        ("keep", ["Harbour Gymnastics"], 28),
        ("other", ["Harbour Gymnastics"], 29),
    ],
)
def test_a_question_is_answered_by_reading_the_list_again(desk, answer, clubs, people):
    first = bring_in(desk)
    (question,) = first.questions
    assert question.id == "row 31 club"
    assert {choice.key for choice in question.choices} == {"moved", "keep", "other"}
    answers = answers_from([f"{question.id}={answer}"])
    assert bring_in(desk, answers=answers).questions == ()
    birgits = [one for one in names(desk) if one == "Birgit Berisha"]
    assert len(names(desk)) == people
    assert len(birgits) == (2 if answer == "other" else 1)
    birgit = athlete(desk, next(row.athlete for row in first.rows if row.row == 29))
    assert [stay.club for stay in birgit.clubs] == clubs
    before = everything(desk)
    bring_in(desk, answers=answers)
    assert everything(desk) == before


def test_an_answer_to_no_question_is_told(desk):
    report = bring_in(desk, answers={"row 99": "new", "row 31 club": "perhaps"})
    told = next(d for d in report.decisions if d.id == "answers")
    assert "row 99" in told.sentence
    assert "perhaps" in told.sentence
    assert len(report.questions) == 1


@pytest.mark.parametrize("typed", ["row 12", "=new", "row 12=", "", " = "])
def test_an_answer_that_is_none_is_a_sentence(typed):
    with pytest.raises(LoftbookError, match="ID=CHOICE"):
        answers_from([typed])


def test_an_answer_may_hold_the_sign_itself():
    assert answers_from(["code =SUM(A1)=nothing"]) == {"code =SUM(A1)": "nothing"}


def test_people_of_an_invented_roster_are_marked(desk):
    bring_in(desk, invented=True)
    assert all(athlete(desk, named(desk, name)).invented for name in ("Ayla Aalto", "Zofia Zeman"))


def test_heights_have_the_day_that_was_said(desk):
    day = date(2025, 10, 1)
    bring_in(desk, roster_of("Ayla Aalto;2014-10-26;Northfield;left;140"), as_of=day)
    assert [(h.metres, h.on) for h in athlete(desk, named(desk, "Ayla Aalto")).heights] == [(1.40, day)]


@pytest.mark.parametrize(
    ("title", "as_of", "since"),
    [
        ("", None, cast.NOW.date()),  # the day of the import
        ("Squad list, 1 September 2025\n", None, date(2025, 9, 1)),
        ("Squad list for 1 September 2027\n", None, cast.NOW.date()),  # not yet
        ("Squad list, 1 September 2025\n", date(2025, 11, 2), date(2025, 11, 2)),
    ],
)
def test_a_child_who_changes_club_keeps_her_former_one_at_earlier_camps(desk, title, as_of, since):
    bring_in(desk, roster_of("Ayla Aalto;2014-10-26;Northfield;;"))
    moved = title.encode() + roster_of("Ayla Aalto;2014-10-26;Saltmarsh;;")
    bring_in(desk, moved, answers={"row 3 club" if title else "row 2 club": "moved"}, as_of=as_of)
    # Later her new coach's address is told, in a list without a day.
    headings = "Name;Born;Club;Home coach;Home coach e-mail"
    bring_in(
        desk, roster_of("Ayla Aalto;2014-10-26;Saltmarsh;P. Reed;reed@saltmarsh.example", headings=headings)
    )
    ayla = athlete(desk, named(desk, "Ayla Aalto"))
    assert (ayla.club.coach_name, ayla.club_on(since).club) == ("P. Reed", "Saltmarsh")
    assert ayla.club_on(cast.SPRING_25).club == "Northfield"
    before = everything(desk)
    bring_in(desk, moved, as_of=as_of)
    assert everything(desk) == before


def test_a_height_of_14_metres_is_refused_and_the_row_stands(desk):
    report = bring_in(desk, roster_of("Ayla Aalto;2014-10-26;Northfield;left;14.5"))
    assert any(row.verdict == "refuse" and "14.5" in row.sentence for row in report.rows)
    ayla = athlete(desk, named(desk, "Ayla Aalto"))
    assert (ayla.heights, ayla.born) == ((), date(2014, 10, 26))


def test_nobody_is_weighed(desk):
    """A column of weights is not read, and says so."""
    headings = "Name;Born;Weight kg"
    report = bring_in(desk, roster_of("Ayla Aalto;2014-10-26;31", headings=headings))
    kept = {name: rows for name, rows in everything(desk).items() if name != "import_file"}
    assert not any("31" in cell for rows in kept.values() for row in rows for cell in row if len(cell) < 8)
    assert any("weight" in decision.sentence.casefold() for decision in report.decisions)


def test_names_of_any_kind_are_kept_as_they_are(desk):
    typed = ['"Mira ""Mi"" Moss"', "Łucja O’Żak", "ليلى نور", "Nova 🤸 Star", "<b>Bo</b> Co"]
    report = bring_in(desk, roster_of(*(f"{name};2014-10-2{n};;;" for n, name in enumerate(typed))))
    # A sign that is no part of a name is left out, and the report says how it was typed.
    assert set(names(desk)) == {'Mira "Mi" Moss', "Łucja O’Żak", "ليلى نور", "Nova Star", "<b>Bo</b> Co"}
    assert "typed as “Nova 🤸 Star”" in report.as_markdown()


def test_a_formula_as_a_name_is_not_a_child(desk):
    report = bring_in(desk, roster_of("=cmd('calc');2014-10-26;;;", "Ayla Aalto;2014-10-26;;;"))
    assert names(desk) == ["Ayla Aalto"]
    assert next(row for row in report.rows if row.row == 2).verdict in ("refuse", "ask")


@pytest.mark.parametrize(
    ("data", "said"),
    [
        (b"", "empty file"),
        (b"\x00" * 50, "empty file"),
        (b"PK\x03\x04" + b"\x00" * 100, "damaged spreadsheet"),
        (b"%PDF-1.7 ...", "PDF"),
        (b"\xd0\xcf\x11\xe0" + b"\x00" * 600, "expected a list"),
    ],
)
def test_a_file_that_is_no_list_is_a_sentence_and_writes_nothing(desk, data, said):
    before = everything(desk)
    with pytest.raises(ListError, match=said):
        bring_in(desk, data)
    assert everything(desk) == before


def test_the_lists_are_those_that_the_project_was_given():
    """Copies in the repository, so that the tests need nothing beside it."""
    given = LISTS.parents[3] / "shared" / "data" / "camps"
    if not given.is_dir():
        pytest.skip("The folder with the lists as they were given is not beside the repository.")
    for name in ("roster.csv", "camp-spring.csv", "camp-autumn.csv"):
        assert cast.shipped(name) == (given / name).read_bytes()
