"""Strange hosts, foreign forms and oversized bodies are refused before anything is read or written."""

from uuid import uuid4

import pytest
from fastapi.testclient import TestClient
from tests.web.cast import payload

from loftbook.desk.entry import entry_sheet
from loftbook.web import create_app

JSON = {"accept": "application/json"}


def written(made):
    return sum(map(len, entry_sheet(made.desk, made.spring).entered.values()))


@pytest.mark.parametrize("host", ["localhost", "localhost:8000", "127.0.0.1:81", "[::1]:8000", "LOCALHOST"])
def test_this_machine_is_answered(client, host):
    assert client.get("/", headers={"host": host}).status_code == 200


@pytest.mark.parametrize(
    "host", ["evil.example", "localhost.evil.example", "127.0.0.1.evil.example", "", "0.0.0.0"]
)
def test_a_foreign_name_that_points_here_is_not(client, host):
    answer = client.get("/", headers={"host": host})
    assert answer.status_code == 421
    assert "Autumn camp" not in answer.text
    assert "http://localhost" in answer.text


FOREIGN = [
    {"sec-fetch-site": "cross-site"},
    {"sec-fetch-site": "same-site"},  # another port of this machine
    {"origin": "https://evil.example"},
    {"origin": "http://localhost:9999"},
    {"origin": "null"},
]


@pytest.mark.parametrize("headers", FOREIGN)
def test_a_form_from_another_site_writes_nothing(made, headers):
    stranger = TestClient(create_app(made.desk), base_url="http://localhost")
    form = f"/camps/{made.spring}/entry/{made.mira}"
    answer = stranger.post(form, data=payload(uuid4()), headers=headers)
    assert answer.status_code == 403
    assert "another site" in answer.text
    assert written(made) == 0
    for path in ("/camps", "/import", "/look", f"{form}/withdraw", f"/api/camps/{made.spring}/attempts"):
        assert stranger.post(path, headers=headers | JSON).status_code == 403, path


@pytest.mark.parametrize("headers", [{}, {"origin": "http://localhost"}, {"sec-fetch-site": "same-origin"}])
def test_our_own_form_is_written(made, headers):
    own = TestClient(create_app(made.desk), base_url="http://localhost")
    answer = own.post(f"/camps/{made.spring}/entry/{made.mira}", data=payload(uuid4()), headers=headers)
    assert answer.status_code == 200
    assert written(made) == 1


def test_every_way_to_write_asks_where_it_came_from(client):
    """Whoever adds a route that writes is guarded without doing anything: no method but reading gets past."""
    for method in ("POST", "PUT", "PATCH", "DELETE"):
        answer = client.request(method, "/", headers={"sec-fetch-site": "cross-site"})
        assert answer.status_code == 403, method


HEADERS = {
    "x-content-type-options": "nosniff",
    "x-frame-options": "DENY",
    "referrer-policy": "same-origin",
    "cross-origin-opener-policy": "same-origin",
    "cache-control": "no-store",
}


@pytest.mark.parametrize("path", ["/", "/nowhere", "/api/squad"])
def test_every_answer_carries_the_headers(client, path):
    answer = client.get(path)
    assert {name: answer.headers[name] for name in HEADERS} == HEADERS
    assert "frame-ancestors 'none'" in answer.headers["content-security-policy"]


def test_a_huge_file_gets_a_sentence(made):
    small = TestClient(create_app(made.desk, largest_upload=10_000), base_url="http://localhost")
    huge = {"file": ("camp.csv", b"x" * 50_000)}
    answer = small.post("/import", data={"kind": "camp"}, files=huge)
    assert answer.status_code == 413
    assert "Too large" in answer.text
    assert "CSV or XLSX" in answer.text


def test_a_huge_file_without_its_length_is_stopped_too(made):
    def endless():
        for _ in range(100):
            yield b"x" * 1000

    small = TestClient(create_app(made.desk, largest_upload=10_000), base_url="http://localhost")
    stated = {"content-type": "application/json"}
    answer = small.post(f"/api/camps/{made.spring}/attempts", content=endless(), headers=stated)
    assert answer.status_code == 413
    assert "nothing was read" in answer.json()["error"]
