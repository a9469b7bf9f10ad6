"""The next step on her page and in her letter, the camp's margins, the card: in words and in pictures."""

import pytest
from starlette.testclient import TestClient
from tests.web.cast import HOSTILE, cast

from loftbook.desk.lab.link import code_of
from loftbook.desk.lab.planned import Person
from loftbook.desk.lab.presets import preset_plan
from loftbook.web.app import create_app


@pytest.fixture
def made():
    found = cast()
    yield found, TestClient(create_app(found.desk), base_url="http://localhost")
    found.desk.store.close()


def test_her_page_has_the_sentence_its_band_and_what_is_missing(made):
    found, client = made
    page = client.get(f"/athletes/{found.mira}").text
    assert "a double back in an open tuck would come round" in page
    assert "no leave to try anything: a qualified coach decides" in page
    assert "film two attempts from the side" in page
    assert page.index("would come round") < page.index("<h2>Seen</h2>")
    assert "1.6 to 1.9 recorded in real doubles" in page


def test_where_nothing_is_known_nothing_is_said(made):
    found, client = made
    assert "so nothing can be said of a double back in a tuck" in client.get(f"/athletes/{found.noa}").text


def test_the_letter_has_it_too(made):
    found, client = made
    letter = client.get(f"/athletes/{found.mira}/letter?camp={found.autumn}").text
    assert "The next step, worked out" in letter
    assert "would come round" in letter


def test_a_camp_in_the_order_of_names_and_whom_to_film(made):
    found, client = made
    page = client.get(f"/camps/{found.spring}/next-steps").text
    assert page.index("Mira Moss") < page.index("Noa O")
    assert "Nobody has measured these yet" in page
    assert HOSTILE not in page
    assert client.get(f"/camps/{found.spring}/next-steps?rung=double_open_tuck").status_code == 200
    assert client.get(f"/camps/{found.spring}/next-steps?rung=nothing").status_code == 404


def test_the_card_is_a_pdf_and_a_torn_link_a_sentence(made):
    _, client = made
    code = code_of(preset_plan("full_out", Person()))
    answer = client.get("/lab/card.pdf", params={"plan": code})
    # standard: ISO 32000, a PDF begins with these letters
    assert answer.content[:5] == b"%PDF-"
    assert client.get("/lab/card.pdf?plan=p1.torn").status_code == 422
