"""Bringing in a camp list: marks become results, the camp is made once, and twice changes nothing."""

import io
from datetime import date

import openpyxl
import pytest
from tests.desk import cast
from tests.desk.cast import OPEN, PIKE, TUCK, counts, everything, imported, listed, named, payload, shipped

from loftbook.desk.answers import athlete_answer, camp_answer
from loftbook.desk.importing import read_camp_file
from loftbook.desk.people import all_camps, find_camp
from loftbook.errors import ListError
from loftbook.insight.standing import State

pytestmark = pytest.mark.both_engines


def bring_in(desk, data, name="camp.csv", **options):
    return read_camp_file(desk, data, name, **({"write": True} | options))


def test_it_works(desk):
    _, spring, autumn = imported(desk)
    assert [(c.name, c.starts, c.ends) for c in all_camps(desk)] == [
        ("Autumn camp", date(2025, 10, 18), date(2025, 10, 19)),
        ("Spring camp", date(2025, 4, 12), date(2025, 4, 13)),
    ]
    # Counted by hand in the two files: cells of the 28 children that are not empty.
    assert (len(spring.attempts), len(autumn.attempts)) == (76, 74)
    assert counts(desk)["attempt"] == 76 + 74
    ayla = athlete_answer(desk, named(desk, "Ayla Aalto"))
    assert [column.standings[OPEN].state for column in ayla.columns] == [State.ALONE, State.HELPED]


def test_each_cell_stands_in_the_book_as_it_was_typed(desk):
    """The spring list against the book, cell by cell, by a reading of our own."""
    imported(desk)
    meant = {
        **dict.fromkeys(("yes", "✓", "X", "x"), State.ALONE),
        **dict.fromkeys(("S", "spot", "belt"), State.HELPED),
        "no": State.TRIED,
        "-": State.NOT_TRIED,
        "stopped": State.STOPPED,
        "abs": State.ABSENT,
    }
    standings = camp_answer(desk, find_camp(desk, "2025-04-12").id).standings
    found = {(s.athlete, s.rung): s.state for s in standings}
    lines = shipped("camp-spring.csv").decode().splitlines()[3:-2]
    assert len(lines) == 28
    for line in lines:
        *name, tuck, pike, open_tuck = line.replace('"', "").split(",")
        who = named(desk, " ".join(part.strip() for part in reversed(name)))
        for rung, cell in ((TUCK, tuck), (PIKE, pike), (OPEN, open_tuck)):
            if cell:
                assert found[who, rung] is meant[cell], (line, rung)
            elif tuck != "abs":  # who is absent is absent for the day
                assert (who, rung) not in found, (line, rung)


def test_twice_changes_nothing(desk):
    imported(desk)
    before = everything(desk)
    again = imported(desk)
    assert everything(desk) == before
    assert [report.facts for report in again] == [(), (), ()]


def test_a_dry_run_says_the_same_and_writes_nothing(desk):
    cast.read_roster_file(desk, shipped("roster.csv"), "roster.csv", write=True)
    before = everything(desk)
    said = bring_in(desk, shipped("camp-spring.csv"), write=False)
    assert everything(desk) == before
    assert said.rows == bring_in(desk, shipped("camp-spring.csv")).rows


def test_a_question_is_answered_by_reading_the_list_again(made):
    data = listed("Mira Moss;zz;x;x", "Noa O’Nettle;x;belt;no")
    (question,) = bring_in(made.desk, data).questions
    assert counts(made.desk)["attempt"] == 5
    report = bring_in(made.desk, data, answers={question.id: "hand_light"})
    assert report.questions == ()
    assert counts(made.desk)["attempt"] == 6
    winter = find_camp(made.desk, "Winter camp")
    mira = {s.rung: s for s in camp_answer(made.desk, winter.id).standings if s.athlete == made.mira}
    assert (mira[TUCK].state, mira[TUCK].help.key) == (State.HELPED, "hand_light")


def test_what_differs_from_the_book_is_asked_and_a_correction_is_a_new_fact(made):
    bring_in(made.desk, listed("Mira Moss;x;no;"))
    changed = listed("Mira Moss;x;belt;")
    (question,) = bring_in(made.desk, changed).questions
    assert {choice.key for choice in question.choices} == {"keep", "correct", "add"}
    assert counts(made.desk)["attempt"] == 2
    bring_in(made.desk, changed, answers={question.id: "correct"})
    (column,) = athlete_answer(made.desk, made.mira).columns[-2:-1]
    assert column.camp.name == "Winter camp"
    assert column.standings[PIKE].state is State.HELPED
    assert [turn.outcome.value for turn in column.replaced[PIKE]] == ["tried"]
    assert counts(made.desk)["attempt"] == 3


def test_a_list_for_a_camp_that_is_named(made):
    report = bring_in(made.desk, listed("Mira Moss;x;;", title="from the clipboard"), camp=made.today.id)
    assert report.camp == made.today.id
    assert len(all_camps(made.desk)) == 3


def test_a_list_of_a_camp_with_a_bed_that_differs_waits_for_an_answer(made):
    said = bring_in(made.desk, listed("Mira Moss;x;;", title="11 April 2026, bed C"), camp=made.today.id)
    assert any("bed C" in decision.sentence and decision.verdict == "ask" for decision in said.decisions)
    assert counts(made.desk)["attempt"] == 0


def test_a_title_typed_otherwise_makes_no_second_camp(desk):
    """Else every child would have been at two camps on these days."""
    imported(desk)
    before = everything(desk)
    text = shipped("camp-spring.csv").decode().replace("Spring camp", "Camp in spring")
    with pytest.raises(ListError, match="“Spring camp”, 12 April 2025 to 13 April 2025"):
        bring_in(desk, text.encode())
    assert everything(desk) == before
    spring = find_camp(desk, "Spring camp")
    assert bring_in(desk, text.encode(), camp=spring.id).facts == ()


def test_a_list_without_the_days_of_its_camp_is_a_sentence(made):
    with pytest.raises(ListError, match="above the headings") as told:
        bring_in(made.desk, listed("Mira Moss;x;;", title="our camp"))
    assert ".;" not in str(told.value)


def test_a_list_of_a_camp_that_is_still_to_come_is_a_sentence(made):
    """As for an entry: nobody has seen it yet, so the year is a slip."""
    with pytest.raises(ListError, match="lies in the future"):
        bring_in(made.desk, listed("Mira Moss;x;;", title="Winter camp 10-11 Jan 2062"))
    assert counts(made.desk)["attempt"] == 0
    assert len(all_camps(made.desk)) == 3


def test_strangers_are_asked_about_and_not_made_up(made):
    before = cast.names(made.desk)
    report = bring_in(made.desk, listed("Mira Moss;x;;", "Zelda Unheard;x;x;x", "Yda Unknown;x;x;x"))
    assert cast.names(made.desk) == before
    assert {row.row for row in report.rows if row.verdict == "ask"} == {4, 5}
    bring_in(
        made.desk,
        listed("Mira Moss;x;;", "Zelda Unheard;x;x;x", "Yda Unknown;x;x;x"),
        answers={"row 4": "new", "row 5": "skip"},
    )
    assert set(cast.names(made.desk)) - set(before) == {"Zelda Unheard"}


def test_a_child_born_after_the_camp_got_no_marks(made):
    cast.bring(made.desk, cast.child("Tiny", "Late", born=date(2026, 2, 1)))
    report = bring_in(made.desk, listed("Tiny Late;x;;", "Mira Moss;x;;"))
    assert "after the camp" in next(row.sentence for row in report.rows if row.row == 3)
    assert [turn.athlete for turn in report.attempts] == [made.mira]


def test_a_spreadsheet_with_formulas_runs_none(made):
    book = openpyxl.Workbook()
    for row in (
        ["Winter camp 10-11 Jan 2026"],
        ["Gymnast", "Double tuck", "Double pike"],
        ["Mira Moss", "x", "=cmd|' /C calc'!A0"],
        ["Noa O’Nettle", '=HYPERLINK("http://x.example","x")', "x"],
    ):
        book.active.append(row)
    data = io.BytesIO()
    book.save(data)
    report = bring_in(made.desk, data.getvalue(), "camp.xlsx")
    assert any("not run" in decision.sentence for decision in report.decisions)
    assert all(turn.rung in (TUCK, PIKE) for turn in report.attempts)
    assert "cmd" not in " ".join(turn.note + turn.source for turn in report.attempts)


def test_what_was_entered_on_the_page_is_not_written_a_second_time(made):
    """Typed afterwards from the same paper: the page knew more, the list says nothing new."""
    winter = bring_in(made.desk, listed("Noa O’Nettle;x;;")).camp
    camp = find_camp(made.desk, str(winter))
    cast.write(made.desk, payload(camp, made.mira, help="hand_light"))
    report = bring_in(made.desk, listed("Noa O’Nettle;x;;", "Mira Moss;spot;;"))
    assert report.facts == ()
    assert counts(made.desk)["attempt"] == 2
