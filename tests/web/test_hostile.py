"""Names that are markup, formulas or another script: shown as typed, and harmless everywhere."""

import csv
import io
import re
from uuid import uuid4

import pytest
from tests.web.cast import FORMULA, HOSTILE, payload

PAGES = [
    "/",
    "/camps/{autumn}",
    "/camps/{spring}/entry",
    "/camps/{spring}/entry/{hostile}",
    "/athletes/{hostile}",
]


@pytest.mark.parametrize("page", PAGES)
def test_markup_in_a_name_is_text(client, made, page):
    sent = client.get(page.format(autumn=made.autumn, spring=made.spring, hostile=made.hostile)).text
    assert HOSTILE not in sent
    assert "&lt;script&gt;alert(1)&lt;/script&gt;" in sent
    assert re.findall(r"<script[^>]*>", sent) == re.findall(r'<script src="/static/[^"]*" defer>', sent)


@pytest.mark.parametrize("field", ["note", "rater"])
def test_markup_in_what_is_typed_is_text(client, made, field):
    typed = '"><img src=x onerror=alert(1)>'
    client.post(f"/camps/{made.spring}/entry/{made.mira}", data=payload(uuid4(), **{field: typed}))
    for page in (f"/camps/{made.spring}/entry/{made.mira}", f"/athletes/{made.mira}"):
        assert "<img" not in client.get(page).text


def test_what_is_refused_is_escaped_too(client, made):
    answer = client.post(f"/camps/{made.spring}/entry/{made.mira}", data=payload(uuid4(), rung="<b>x</b>"))
    assert "<b>x" not in answer.text


def test_a_drawing_holds_the_name_as_text(client, made):
    """The picture of her rungs is put into the page as it is; the name inside must not become markup."""
    sent = client.get(f"/athletes/{made.hostile}").text
    assert all("<script" not in drawing for drawing in re.findall(r"<svg.*?</svg>", sent, re.DOTALL))


@pytest.mark.parametrize("name", ["squad", "attempts", "inventory", "changes"])
def test_a_formula_is_no_formula_in_a_list_that_is_taken_away(client, made, name):
    answer = client.get(f"/camps/{made.autumn}/lists/{name}.csv")
    assert answer.status_code == 200
    rows = list(csv.reader(io.StringIO(answer.content.decode("utf-8-sig"))))
    cells = [cell for row in rows for cell in row]
    assert any(FORMULA in cell for cell in cells)
    assert [cell for cell in cells if cell[:1] in tuple("=+@\t\r")] == []


@pytest.mark.parametrize("name", ["squad", "attempts", "inventory", "patterns", "changes", "expected"])
def test_every_list_comes_as_xlsx_without_formulas(client, made, name):
    from openpyxl import load_workbook

    answer = client.get(f"/camps/{made.autumn}/lists/{name}.xlsx")
    assert answer.status_code == 200
    assert f'filename="{name}.xlsx"' in answer.headers["content-disposition"]
    for row in load_workbook(io.BytesIO(answer.content)).active.iter_rows():
        assert [cell.value for cell in row if cell.data_type == "f"] == []


@pytest.mark.parametrize("path", ["/camps/{c}/lists/squad.exe", "/camps/{c}/lists/secrets.csv"])
def test_an_unknown_list_is_told(client, made, path):
    answer = client.get(path.format(c=made.autumn))
    assert answer.status_code == 404
    assert "expected" in answer.text


def test_right_to_left_names_keep_to_themselves(client, made):
    sent = client.get("/").text
    assert "<bdi>ليلى نور</bdi>" in sent
