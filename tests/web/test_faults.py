"""Whatever goes wrong is a sentence: a page for people, JSON for programs, never a traceback."""

from uuid import uuid4

import pytest
from fastapi.testclient import TestClient

from loftbook.web import create_app

HTML = {"accept": "text/html,application/xhtml+xml"}
JSON = {"accept": "application/json"}


@pytest.mark.parametrize(
    "path", ["/camps/{id}", "/athletes/{id}", "/camps/{id}/entry", "/athletes/{id}/letter"]
)
def test_an_unknown_id_is_told(client, path):
    answer = client.get(path.format(id=uuid4()), headers=HTML)
    assert answer.status_code == 404
    assert "What to do:" in answer.text
    assert "Traceback" not in answer.text


@pytest.mark.parametrize(
    "path", ["/nowhere", "/camps/7", "/athletes/%00", "/camps/%F0%9F%92%A9", "/import/unknown"]
)
def test_a_wrong_address_is_told(client, path):
    answer = client.get(path, headers=HTML)
    assert answer.status_code == 404
    assert "What to do:" in answer.text


def test_a_program_gets_the_same_sentence_as_json(client):
    page, answer = (client.get(f"/camps/{uuid4()}", headers=headers) for headers in (HTML, JSON))
    assert answer.json().keys() == {"title", "error"}
    assert answer.json()["title"] in page.text


def test_under_api_it_is_json_whatever_is_accepted(client):
    answer = client.get(f"/api/camps/{uuid4()}", headers=HTML)
    assert answer.status_code == 404
    assert "What to do" in answer.json()["error"]


def test_the_wrong_method_is_told(client):
    answer = client.post("/", headers=HTML)
    assert answer.status_code == 405
    assert answer.headers["allow"] == "GET"


def test_our_own_fault_is_a_sentence_without_its_insides(made, monkeypatch):
    def broken(desk):
        raise ZeroDivisionError("secret inside")

    monkeypatch.setattr("loftbook.web.pages.squad.view.squad_answer", broken)
    app = create_app(made.desk)
    with TestClient(app, base_url="http://localhost", raise_server_exceptions=False) as client:
        answer = client.get("/", headers=HTML)
    assert answer.status_code == 500
    assert "Something went wrong inside Loftbook" in answer.text
    assert "secret inside" not in answer.text


@pytest.mark.parametrize(
    ("changes", "said"),
    [
        ({"name": ""}, "a name"),
        ({"starts": "31.04.2026"}, "a day such as"),
        ({"starts": ""}, "nothing as the first day"),
        ({"ends": "2026-04-01"}, "an end on or"),
        ({"landing": "lava"}, "lava"),
    ],
)
def test_a_camp_that_cannot_be_stays_in_the_form(client, changes, said):
    camp = {
        "name": "Summer",
        "starts": "2026-07-01",
        "ends": "",
        "take_off": "trampoline",
        "landing": "soft_flat_mat",
    }
    answer = client.post("/camps", data=camp | changes)
    assert answer.status_code == 422
    assert said in answer.text
    assert 'name="bed"' in answer.text
    assert len(client.get("/api/camps").json()) == 2


def test_a_camp_is_made_and_leads_to_who_is_expected(client):
    camp = {
        "name": "Summer camp",
        "starts": "2026-07-01",
        "ends": "2026-07-02",
        "take_off": "trampoline",
        "landing": "bed",
        "raters": "A. One, B. Two",
    }
    answer = client.post("/camps", data=camp)
    assert answer.status_code == 200
    assert answer.url.path.endswith("/expected")
    assert "Mira Moss" in answer.text
    assert client.get("/api/camps").json()[0]["raters"] == ["A. One", "B. Two"]
