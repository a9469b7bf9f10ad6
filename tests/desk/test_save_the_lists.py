"""Saving the lists: each reads back as it was, and none of them runs anything in a spreadsheet."""

import csv
import io
from datetime import date, datetime

import openpyxl
import pytest
from tests.desk.cast import OPEN, PIKE, TUCK, bring, child, expect, listed, payload, read_camp_file, write

from loftbook.book.people import TwistNote
from loftbook.cli.words import athlete_lines, camp_lines
from loftbook.desk.answers import athlete_answer, camp_answer
from loftbook.desk.exporting import FORMS, all_lists, in_form, one_list
from loftbook.desk.people import all_camps
from loftbook.errors import UnknownThing
from loftbook.ladder.scales import TwistSide
from loftbook.reports.spreadsheet import ListTable, as_csv, as_xlsx

LISTS = ["squad", "attempts", "inventory", "patterns", "changes", "expected", "never_met", "twist_side"]
# OWASP, "CSV Injection": these, as the first character of a cell, may start a formula (from memory).
STARTS = ("=", "+", "-", "@", "\t", "\r", "\n", "＝", "＋", "－", "＠")
HOSTILE = [
    "=cmd()",
    "=cmd|' /C calc'!A0",
    "+1",
    "-1",
    "@x",
    "\tx",
    "\r=1",
    "\n=1",
    "  =1",
    "\u00a0=1",
    "＝1",
    '=HYPERLINK("http://x.example","x")',
    "=1\n=2",
]


def from_csv(data, delimiter=","):
    return list(csv.reader(io.StringIO(data.decode("utf-8-sig"), newline=""), delimiter=delimiter))


def cells(data):
    return list(openpyxl.load_workbook(io.BytesIO(data)).active.iter_rows())


def table(*values):
    return ListTable("x", ("name", "other"), tuple((value, "safe") for value in values))


@pytest.fixture
def filled(made):
    """A book in which names, clubs and notes try to be formulas."""
    bad = tuple(child(text, "Sheet", born=None) for text in ("=cmd()", "+1", "-1", "@x"))
    who = bring(made.desk, *bad, child("ליאת", "נור"), child("Nova 🤸", 'Q"uote; x'))
    expect(made.desk, made.today, who)
    write(
        made.desk,
        payload(made.autumn, made.mira),
        payload(made.today, made.mira, note="=cmd()", marks={"lift": 2}),
        payload(made.today, made.mira, PIKE, help="belt_light", note="a;=cmd();b"),
        *(payload(made.today, one, note="+1") for one in who),
    )
    return made


@pytest.mark.parametrize("form", FORMS)
def test_it_works(filled, form):
    lists = all_lists(filled.desk, filled.today.id)
    assert list(lists) == LISTS
    for name, made in lists.items():
        data = in_form(made, form)
        rows = from_csv(data) if form == "csv" else [[c.value for c in row] for row in cells(data)]
        assert len(rows) == 1 + len(made.rows), name
        assert rows[0] == list(made.columns)


@pytest.mark.parametrize("name", LISTS)
def test_one_list_is_that_of_all(filled, name):
    assert one_list(filled.desk, name, filled.today.id) == all_lists(filled.desk, filled.today.id)[name]


@pytest.mark.parametrize("name", LISTS)
def test_no_cell_of_any_list_starts_a_formula(filled, name):
    """By whichever separator the spreadsheet divides the lines."""
    made = one_list(filled.desk, name, filled.today.id)
    numbers = {str(value) for row in made.rows for value in row if isinstance(value, (int, float))}
    for delimiter in (",", ";", "\t", "|"):
        for row in from_csv(as_csv(made), delimiter):
            for cell in row:
                assert not cell.lstrip(" \u00a0").startswith(STARTS) or cell in numbers, (delimiter, cell)
    for row in cells(as_xlsx(made)):
        assert all(cell.data_type != "f" for cell in row)


@pytest.mark.parametrize("text", HOSTILE)
def test_text_that_would_run_is_text(text):
    for delimiter in (",", ";", "\t"):
        rows = from_csv(as_csv(table(text, f"x;{text}")), delimiter)
        assert not any(cell.lstrip(" \u00a0").startswith(STARTS) for row in rows for cell in row), delimiter
    ((_, _), (cell, _)) = cells(as_xlsx(table(text)))
    # openpyxl reads "s" for text and "f" for a formula (ECMA-376, part 1, 18.18.11, cell types).
    assert cell.data_type == "s"
    assert cell.value.replace("_x000D_", "\r").strip() == text.strip()


def test_a_heading_of_a_coachs_own_ladder_is_text_too():
    made = ListTable("x", ("=cmd()", "@x"), (("a", "b"),))
    assert from_csv(as_csv(made))[0] == ["'=cmd()", "'@x"]
    assert {cell.data_type for cell in cells(as_xlsx(made))[0]} == {"s"}


@pytest.mark.parametrize(
    "text",
    [
        "Mira Moss",
        'says "Mi"',
        "a, b; c",
        "two\nlines",
        "ليلى نور",
        "שלום",
        "🤸‍♀️ Nova",
        "Łucja O’Żak",
        "e\u0301",
        "",
        "'quoted'",
        "x" * 5000,
        "short, -1 step",
    ],
)
def test_harmless_text_reads_back_as_it_was(text):
    assert from_csv(as_csv(table(text)))[1][0] == text
    assert (cells(as_xlsx(table(text)))[1][0].value or "") == text


def test_numbers_days_and_blanks_keep_their_kind():
    moment = datetime(2026, 4, 11, 9, 30)  # noqa: DTZ001 - a spreadsheet knows no zone
    made = ListTable("x", tuple("abcde"), ((-1, 1.43, date(2014, 5, 1), moment, None),))
    assert [cell.value for cell in cells(as_xlsx(made))[1]] == [-1, 1.43, datetime(2014, 5, 1), moment, None]  # noqa: DTZ001
    assert from_csv(as_csv(made))[1] == ["-1", "1.43", "2014-05-01", "2026-04-11T09:30:00", ""]


def test_signs_that_no_spreadsheet_can_hold_are_left_out():
    assert from_csv(as_csv(table("a\x00b")))[1][0] == "ab"
    assert cells(as_xlsx(table("a\x00\x0bb")))[1][0].value == "ab"


def test_the_byte_order_mark_is_there_for_accents():
    # Unicode 15, 23.8: EF BB BF begins UTF-8 with a byte-order mark.
    assert as_csv(table("Čapek"))[:3] == b"\xef\xbb\xbf"


def test_the_attempts_list_is_what_was_written(filled):
    made = one_list(filled.desk, "attempts", filled.today.id)
    mira = [dict(zip(made.columns, row, strict=True)) for row in made.rows if row[0] == "Mira Moss"]
    assert {row["rung key"]: row["help"] for row in mira} == {TUCK: "nobody in", PIKE: "belt, light"}
    assert {row["rung"] for row in mira} == {filled.desk.ladder.rung(key).name for key in (TUCK, PIKE)}
    assert next(row for row in mira if row["rung key"] == TUCK)["mark: lift"] == 2
    assert all(row["source"] == "entry" for row in mira)


def test_no_list_has_a_column_of_weight(filled):
    for made in all_lists(filled.desk, filled.today.id).values():
        assert not any("weight" in column.casefold() or "kg" in column.split() for column in made.columns)


def test_names_of_many_in_one_cell(filled):
    made = one_list(filled.desk, "patterns", filled.today.id)
    who = {name for row in made.rows for name in row[3].split("; ") if name}
    assert {"Mira Moss", "=cmd() Sheet", "ליאת נור"} <= who


@pytest.mark.parametrize("name", ["secrets", "", "../squad"])
def test_an_unknown_list_is_a_sentence(filled, name):
    with pytest.raises(UnknownThing, match="squad, attempts, inventory"):
        one_list(filled.desk, name, filled.today.id)


def test_an_unknown_form_is_a_sentence(filled):
    with pytest.raises(UnknownThing, match="csv or xlsx"):
        in_form(one_list(filled.desk, "squad", filled.today.id), "ods")


def test_a_camp_with_nothing_written_has_lists_all_the_same(made):
    lists = all_lists(made.desk, made.today.id)
    assert len(lists["squad"].rows) == 5
    assert lists["attempts"].rows == lists["expected"].rows == ()
    assert OPEN in {row[2] for row in lists["changes"].rows}
    for one in lists.values():
        for form in FORMS:
            assert in_form(one, form)


def rows_of(made, name):
    """One list as rows by heading; no two headings of a list are the same."""
    table = one_list(made.desk, name, made.today.id)
    assert len(set(table.columns)) == len(table.columns), name
    return [dict(zip(table.columns, row, strict=True)) for row in table.rows]


@pytest.mark.parametrize("name", LISTS)
def test_no_list_has_two_columns_of_one_name(filled, name):
    rows_of(filled, name)


def test_a_short_turn_that_counts_is_landed_but_short(made):
    write(
        made.desk,
        payload(made.today, made.mira, rotation="short"),
        payload(made.today, made.noa, outcome="tried", rotation="short"),
    )
    assert {row["gymnast"]: row["came round"] for row in rows_of(made, "attempts")} == {
        "Mira Moss": "landed, but short",
        "Noa O’Nettle": "short",
    }


def test_a_typed_list_tells_no_hour(desk):
    bring(desk, child("Mira", "Moss"))
    read_camp_file(desk, listed("Mira Moss;yes;;"), "winter.csv", write=True)
    table = one_list(desk, "attempts", all_camps(desk)[0].id)
    assert table.rows
    assert {row[table.columns.index("time (UTC)")] for row in table.rows} == {None}


def test_what_was_expected_is_rounded_and_patterns_of_nobody_are_left_out(filled):
    expected = rows_of(filled, "expected")
    assert expected
    assert all(row["expected"] == round(row["expected"], 1) for row in expected)
    patterns = rows_of(filled, "patterns")
    assert patterns
    assert all(row["how many"] > 0 for row in patterns)


def test_who_has_not_met_a_family_and_who_twists_two_ways(made):
    notes = (TwistNote(TwistSide.LEFT, "barani"), TwistNote(TwistSide.RIGHT))
    (who,) = bring(made.desk, child("Tove", "Umber", twists=notes))
    write(made.desk, payload(made.today, who))
    (twist,) = rows_of(made, "twist_side")
    assert (twist["gymnast"], twist["her side"]) == ("Tove Umber", "right")
    assert "left" in twist["disagree"]
    never = {row["gymnast"]: row["never met at a camp of this book"] for row in rows_of(made, "never_met")}
    assert "forward double" in never["Tove Umber"]
    assert "backward double" not in never["Tove Umber"]
    told = camp_lines(camp_answer(made.desk, made.today.id))
    assert any("Tove Umber: never at a camp of this book: " in line for line in told)
    assert any("Tove Umber: Not one side" in line for line in told)
    hers = athlete_lines(athlete_answer(made.desk, who))
    assert any(line.startswith("Families of movement: never at a camp of this book: ") for line in hers)
    assert any(line.startswith("Twist side: Not one side") for line in hers)
