"""The entry screen's side of the server, over HTTP: pairing, the sheet, sending, shutting out."""

import json
import re

import pytest
from tests.web.doors import HALL, at, paired, with_guests

from loftbook.book.access import Role
from loftbook.book.devices import Pairing
from loftbook.desk.devices import offer, set_phrase, shut_out
from loftbook.desk.entry import entry_sheet
from loftbook.web import create_app
from loftbook.web.access import Door


def record(made, number=1, **more):
    return {
        "kind": "attempt",
        "id": f"01890a5d-ac96-774b-bcce-b3020999{number:04d}",
        "camp": str(made.spring),
        "athlete": str(made.mira),
        "rung": "double_tuck",
        "outcome": "did_it",
        "help": "nobody_in",
        "at": "2026-04-11T14:00:00Z",
        "rater": "Coach Q",
        "turn": 1,
    } | more


def test_a_tablet_from_its_code_to_its_last_record(made):
    app = create_app(made.desk, hall=HALL)
    with at(made.desk, Door.HALL, app=app) as tablet:
        assert tablet.get("/api/device").json() == {
            "device": None,
            "role": None,
            "here": False,
            "secure": True,
        }
        ticket = offer(made.desk, Pairing(Role.ENTRY, name="tablet 1", rater="Coach Q"))
        told = tablet.post("/api/pair", json={"secret": ticket.secret})
        cookie = told.headers["set-cookie"]
        assert cookie.startswith("__Host-lb=")
        for word in ("Secure", "HttpOnly", "Path=/", "SameSite=strict"):
            assert word in cookie
        assert "domain" not in cookie.lower()
        assert told.json()["device"]["name"] == "tablet 1"
        sheet = tablet.get("/api/sheet")
        assert sheet.json()["camp"]["id"] == str(made.spring)
        assert tablet.get("/api/sheet", headers={"if-none-match": sheet.headers["etag"]}).status_code == 304
        sent = {"sent_at": "2026-04-11T15:00:00Z", "records": [record(made)]}
        assert tablet.post("/api/sync", json=sent).json()["answers"][0]["status"] == "stored"
        assert tablet.post("/api/sync", json=sent).json()["answers"][0]["status"] == "duplicate"
        assert tablet.get("/api/sheet", headers={"if-none-match": sheet.headers["etag"]}).status_code == 200
        shut_out(made.desk, tablet.get("/api/device").json()["device"]["id"] and _device(made.desk))
        answer = tablet.post("/api/sync", json=sent)
        assert (answer.status_code, answer.json()["code"]) == (401, "revoked")
        assert "saved to a file" in answer.json()["error"]
    waiting = {"kind": "loftbook-waiting", "version": 1, "records": [record(made, 2, turn=2)]}
    with at(made.desk, Door.LAPTOP, app=app) as laptop:
        page = laptop.post(
            "/take-in", files={"file": ("w.json", json.dumps(waiting))}, headers={"accept": "text/html"}
        )
        assert page.status_code == 200
    assert len(entry_sheet(made.desk, made.spring).entered[made.mira, "double_tuck"]) == 2


def _device(desk):
    from loftbook.desk.devices import all_devices

    return all_devices(desk)[0].id


def test_a_typed_code_through_the_form(made):
    ticket = offer(made.desk, Pairing(Role.READ))
    with at(made.desk, Door.HALL) as phone:
        html = {"accept": "text/html"}
        wrong = phone.post("/pair", data={"code": "AAA-AAA"}, headers=html)
        assert (wrong.status_code, "older than five minutes" in wrong.text) == (403, True)
        right = phone.post("/pair", data={"code": ticket.code}, headers=html)
        assert (right.status_code, right.headers["location"]) == (303, "/")
        assert phone.get("/api/squad").status_code == 200
        contents = phone.get("/hello", headers=html).text
        assert 'href="/lists"' in contents  # a reader gets the parts that she may open
        assert 'href="/entry"' not in contents


@pytest.mark.parametrize("door", [Door.HALL, Door.OPEN])
@pytest.mark.parametrize("address", ["/hello", "/pair", "/cautions", "/nowhere"])
def test_a_device_that_was_not_let_in_is_not_told_what_is_in_the_book(made, door, address):
    with at(made.desk, door) as stranger:
        page = stranger.get(address, headers={"accept": "text/html"})
        assert "Loftbook" in page.text
        assert not re.findall(r'href="/(?:lists|camps|entry|film|lab|import)"', page.text)


def test_codes_cannot_be_tried_out(made):
    with at(made.desk, Door.HALL) as stranger:
        statuses = [stranger.post("/api/pair", json={"code": f"AAAA{n:02d}"}).status_code for n in range(12)]
        assert statuses == [403] * 10 + [429] * 2
        assert int(stranger.post("/api/pair", json={}).headers["retry-after"]) > 0


def test_a_guest_gets_a_plain_cookie_and_nothing_but_entry(made):
    desk = with_guests(made.desk)
    ticket = offer(desk, Pairing(Role.ENTRY))
    with at(desk, Door.OPEN) as phone:
        told = phone.post("/api/pair", json={"secret": ticket.secret})
        assert told.json()["secure"] is False
        assert told.headers["set-cookie"].startswith("lb=")
        assert "Secure" not in told.headers["set-cookie"]
        assert phone.get("/api/sheet").status_code == 200
        answer = phone.get(f"/api/earlier?camp={made.spring}&athlete={made.mira}&rung=double_tuck").json()
        assert (answer["shown"], answer["attempts"]) == (False, [])


def test_the_laptop_is_the_head_coach_until_a_pass_phrase_is_set(made):
    with at(made.desk, Door.LAPTOP) as laptop:
        assert laptop.get("/api/device").json()["role"] == "head_coach"
        set_phrase(made.desk, "four quite unlikely words")
        assert laptop.get("/api/device").json()["role"] is None
        html = {"accept": "text/html"}
        assert laptop.get("/", headers=html).headers["location"] == "/unlock"
        assert laptop.post("/unlock", data={"phrase": "guess"}, headers=html).status_code == 403
        assert (
            laptop.post("/unlock", data={"phrase": "four quite unlikely words"}, headers=html).status_code
            == 303
        )
        assert laptop.get("/", headers=html).status_code == 200
        laptop.post("/lock")
        assert laptop.get("/", headers=html).status_code == 303


def test_pass_phrases_cannot_be_tried_out(made, monkeypatch):
    set_phrase(made.desk, "four quite unlikely words")
    monkeypatch.setattr("loftbook.web.pages.unlock.view.is_phrase", lambda *_: False)
    with at(made.desk, Door.LAPTOP) as laptop:
        statuses = [laptop.post("/unlock", data={"phrase": "x"}).status_code for _ in range(6)]
    assert statuses == [403] * 5 + [429]


@pytest.mark.parametrize(
    "body",
    [
        b"",
        b"{",
        b"[]",
        b"null",
        b'"x"',
        b"\xff",
        b"[" * 100_000,
        b'{"records": 5}',
        b'{"records": {}}',
        b'{"records": [' + b"9" * 5000 + b"]}",
        b'{"records": [' + b",".join([b"1"] * 501) + b"]}",
    ],
)
def test_a_body_that_cannot_be_read_gets_a_sentence(made, body):
    with at(made.desk, Door.LAPTOP) as laptop:
        answer = laptop.post("/api/sync", content=body, headers={"content-type": "application/json"})
        assert answer.status_code == 422
        assert answer.json()["error"].startswith("Found ")


def test_senseless_records_over_http(made):
    records = [
        None,
        5,
        [],
        {},
        {"kind": "attempt"},
        {"kind": "attempt", "turn": 2**80, "id": 5},
        record(made),
    ]
    with at(made.desk, Door.LAPTOP) as laptop:
        answers = laptop.post("/api/sync", json={"records": records, "sent_at": 7}).json()["answers"]
    assert [answer["status"] for answer in answers] == ["refused"] * 6 + ["stored"]


def test_too_many_batches_in_a_minute(made):
    with at(made.desk, Door.LAPTOP) as laptop:
        statuses = {laptop.post("/api/sync", json={"records": []}).status_code for _ in range(121)}
    assert statuses == {200, 429}


def test_no_secret_is_ever_logged(made, caplog, capfd):
    ticket = offer(made.desk, Pairing(Role.ENTRY))
    with caplog.at_level(0), at(made.desk, Door.HALL) as tablet:
        token = tablet.post("/api/pair", json={"secret": ticket.secret}).cookies["__Host-lb"]
        tablet.get("/api/sheet")
    out = caplog.text + "".join(capfd.readouterr())
    assert ticket.secret not in out
    assert token not in out


def test_the_pairing_page_shows_the_picture_only_where_the_hall_can_be_reached(made):
    html = {"accept": "text/html"}
    with at(made.desk, Door.LAPTOP) as laptop:
        page = laptop.post("/devices", data={"role": "entry", "name": "t"}, headers=html)
        assert page.text.count("<svg") == 1
        assert "https://loftbook.local:8643/pair" in page.text
        assert laptop.get("/devices", headers=html).text.count("<svg") == 0
    with at(made.desk, Door.LAPTOP, app=create_app(made.desk)) as laptop:
        page = laptop.post("/devices", data={"role": "entry"}, headers=html).text
        assert "loftbook serve --hall" in page
        assert "<svg" not in page


def test_a_read_device_reads_and_does_not_write(made):
    with at(made.desk, Door.HALL, paired(made.desk, Role.READ).token) as phone:
        assert phone.get(f"/api/camps/{made.spring}").status_code == 200
        assert phone.post("/api/sync", json={"records": [record(made)]}).status_code == 403
        assert phone.get("/api/sheet").status_code == 403
