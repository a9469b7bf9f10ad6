"""Bringing in a list: the report first, answers, and nothing in the book before the coach says yes."""

import io
import re

import pytest

from loftbook.desk.people import all_athletes, all_camps

ROSTER = """First name;Surname;Date of birth;Club;Height cm
Ada;Ashdown;2014-03-02;Tollgate Gym;141
Bea;Birch;31/02/2014;Tollgate Gym;14,5 m
Cleo;Cray;2015-07-19;Tollgate Gym;
"""
CAMP = """"Summer camp, Saltmarsh hall",,
"4 July 2026, bed A to soft mat",,
Name,DBL tuck,dbl pike
Mira Moss,x,belt
Noa O’Nettle,short,
"""


def chosen(client, text, *, kind, name="list.csv", **fields):
    data = text if isinstance(text, bytes) else text.encode()
    return client.post("/import", data={"kind": kind, **fields}, files={"file": (name, data)})


def test_it_works(client, made):
    before = len(all_athletes(made.desk))
    report = chosen(client, ROSTER, kind="roster")
    assert report.status_code == 200
    assert "Nothing is written yet" in report.text
    assert len(all_athletes(made.desk)) == before
    written = client.post(report.url.path, data={"do": "write"})
    assert "It is in the book" in written.text
    assert len(all_athletes(made.desk)) > before


def test_an_impossible_day_is_named_and_loses_no_other_row(client, made):
    report = chosen(client, ROSTER, kind="roster")
    assert "31/02/2014" in report.text
    client.post(report.url.path, data={"do": "write"})
    names = {athlete.name.full for athlete in all_athletes(made.desk)}
    assert {"Ada Ashdown", "Cleo Cray"} <= names


def test_the_same_list_twice_changes_nothing(client, made):
    for _ in range(2):
        report = chosen(client, ROSTER, kind="roster")
        client.post(report.url.path, data={"do": "write"})
    names = [athlete.name.full for athlete in all_athletes(made.desk)]
    assert names.count("Ada Ashdown") == 1


def test_a_camp_list_makes_its_camp_only_on_yes(client, made):
    report = chosen(client, CAMP, kind="camp")
    assert report.status_code == 200
    assert len(all_camps(made.desk)) == 2
    written = client.post(report.url.path, data={"do": "write"})
    assert "To the camp" in written.text
    camp = re.search(r'href="(/camps/[^"]+)">To the camp', written.text).group(1)
    assert "Mira Moss" in client.get(camp).text


def test_answers_are_kept_in_the_form(client, made):
    """A question's answer that was chosen stays chosen when the list is read again."""
    report = chosen(client, ROSTER.replace("Height cm", "mystery"), kind="roster")
    asked = re.findall(r'name="(answer:[^"]+)" value="([^"]+)"', report.text)
    if not asked:
        asked = re.findall(
            r'<select name="(answer:[^"]+)">.*?<option value="([^"]+)"', report.text, re.DOTALL
        )
    assert asked, "this list asks nothing any more: take one that does"
    name, key = asked[0]
    again = client.post(report.url.path, data={"do": "again", name: key})
    assert re.search(
        rf'name="{re.escape(name)}"(?: value="{re.escape(key)}" checked|>.*?value="{re.escape(key)}" selected)',
        again.text,
        re.DOTALL,
    )
    assert "Nothing is written yet" in again.text


@pytest.mark.parametrize(
    ("name", "data"),
    [
        ("empty.csv", b""),
        ("half.xlsx", b"PK\x03\x04 and then nothing"),
        ("picture.xlsx", b"\x89PNG\r\n\x1a\n" + bytes(200)),
        ("noise.csv", bytes(range(256)) * 20),
    ],
)
@pytest.mark.parametrize("kind", ["roster", "camp"])
def test_a_file_that_is_no_list_gets_a_sentence(client, made, name, data, kind):
    answer = chosen(client, data, kind=kind, name=name)
    assert answer.status_code == 422
    assert 'role="alert"' in answer.text
    assert "Traceback" not in answer.text
    assert 'name="file"' in answer.text  # the form is still there


def test_no_file_chosen(client):
    answer = client.post("/import", data={"kind": "roster"}, files={"file": ("", b"")})
    assert answer.status_code == 422
    assert "choose the file first" in answer.text


def test_a_forgotten_file_is_told(client):
    answer = client.post("/import/unknown", data={"do": "write"})
    assert answer.status_code == 404
    assert "choose the file again" in answer.text


def test_markup_in_a_list_is_text(client):
    hostile = ROSTER.replace("Ada", "<img src=x>").replace("Cleo", '"=1+1"')
    report = chosen(client, hostile, kind="roster", name="<b>.csv")
    assert "<img" not in report.text
    assert "<b>.csv" not in report.text


def test_an_xlsx_is_read_as_well(client, made):
    from openpyxl import Workbook

    book, packed = Workbook(), io.BytesIO()
    for line in ROSTER.splitlines():
        book.active.append(line.split(";"))
    book.save(packed)
    report = chosen(client, packed.getvalue(), kind="roster", name="roster.xlsx")
    assert report.status_code == 200
    client.post(report.url.path, data={"do": "write"})
    assert "Ada Ashdown" in {athlete.name.full for athlete in all_athletes(made.desk)}


def test_the_report_can_be_saved(client):
    report = chosen(client, ROSTER, kind="roster")
    saved = client.post(report.url.path, data={"do": "save"})
    assert "attachment" in saved.headers["content-disposition"]
    assert saved.text.startswith("# How")
    assert "31/02/2014" in saved.text


def two_sheets():
    from openpyxl import Workbook

    book, packed = Workbook(), io.BytesIO()
    book.active.title = "Group A"
    for sheet, name in ((book.active, "Ada"), (book.create_sheet("Group B"), "Ida")):
        sheet.append(["First name", "Surname", "Date of birth"])
        sheet.append([name, "Ashdown", "2014-03-02"])
    book.save(packed)
    return packed.getvalue()


def test_another_sheet_can_be_chosen_and_is_shown_before_it_is_written(client, made):
    report = chosen(client, two_sheets(), kind="roster", name="roster.xlsx")
    assert "Ada Ashdown" in report.text
    # Its report has not been seen yet, so that “write” only shows it; answers about the other sheet fall away.
    pressed = {"do": "write", "sheet": "", "answer:sheet": "Group B", "answer:row 2": "skip"}
    shown = client.post(report.url.path, data=pressed)
    assert "Nothing is written yet" in shown.text
    assert "Ida Ashdown" in shown.text
    assert '<input type="hidden" name="sheet" value="Group B">' in shown.text
    assert "Ida Ashdown" not in {athlete.name.full for athlete in all_athletes(made.desk)}
    again = {"do": "write", "sheet": "Group B", "answer:sheet": "Group B"}
    assert "It is in the book" in client.post(report.url.path, data=again).text
    names = {athlete.name.full for athlete in all_athletes(made.desk)}
    assert "Ida Ashdown" in names
    assert "Ada Ashdown" not in names


def test_the_sheet_can_be_named_with_the_file(client):
    report = chosen(client, two_sheets(), kind="roster", name="roster.xlsx", which_sheet="Group B")
    assert "Ida Ashdown" in report.text
    answer = chosen(client, two_sheets(), kind="roster", name="roster.xlsx", which_sheet="Group C")
    assert (answer.status_code, "Group A, Group B" in answer.text) == (422, True)
