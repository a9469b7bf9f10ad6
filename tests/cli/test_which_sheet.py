"""A spreadsheet with several sheets: the coach says which one is read."""

import io

import openpyxl
import pytest


def two_sheets() -> bytes:
    book, data = openpyxl.Workbook(), io.BytesIO()
    book.active.title = "Group A"
    for sheet, name in ((book.active, "Ayla Aalto"), (book.create_sheet("Group B"), "Gwen Grönholm")):
        sheet.append(["Camp 12-13 April 2025"])
        sheet.append(["Name", "Born", "Double tuck"])
        sheet.append([name, "2014-10-26", "x"])
    book.save(data)
    return data.getvalue()


def names(run):
    people = run("squad", "show", "--json").json["athletes"]
    return [one["athlete"]["names"][0]["given"] for one in people]


@pytest.mark.parametrize("said", [("--sheet", "Group B"), ("--answer", "sheet=Group B")])
def test_another_sheet_is_read_where_it_is_named(run, tmp_path, said):
    (tmp_path / "list.xlsx").write_bytes(two_sheets())
    run("squad", "import", "list.xlsx", *said)
    assert names(run) == ["Gwen"]
    told = run("camp", "import", "list.xlsx", *said, "--json").json
    assert [row["sentence"] for row in told["rows"]] == ["Gwen Grönholm: Double back, tuck: alone."]
    run("squad", "import", "list.xlsx")
    assert sorted(names(run)) == ["Ayla", "Gwen"]


@pytest.mark.parametrize("noun", ["squad", "camp"])
def test_a_sheet_that_is_not_there_is_one_sentence(run, tmp_path, noun):
    (tmp_path / "list.xlsx").write_bytes(two_sheets())
    answer = run(noun, "import", "list.xlsx", "--sheet", "Group C")
    assert (answer.code, answer.out) == (1, "")
    assert "one of Group A, Group B" in answer.err
