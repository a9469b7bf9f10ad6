"""The lab over HTTP: the same answers as at the desk, bounds on what is sent, who may ask."""

import json
import time
from pathlib import Path

import pytest
from starlette.testclient import TestClient

from loftbook.desk.lab.flying import fly_plan
from loftbook.desk.lab.planned import plan_of_json
from loftbook.desk.opening import open_desk
from loftbook.web.access import Door, at_door
from loftbook.web.app import create_app
from loftbook.web.hall.address import Hall

CONTRACT = json.loads(
    (Path(__file__).resolve().parent.parent / "contracts" / "lab.json").read_text(encoding="utf-8")
)
PLAN = CONTRACT["plan"]


@pytest.fixture
def client():
    desk = open_desk(":memory:")
    yield TestClient(create_app(desk), base_url="http://localhost")
    desk.store.close()


def test_a_plan_is_flown_as_at_the_desk(client):
    answer = client.post("/api/lab/fly", json={"plan": PLAN, "frames": 5})
    assert answer.status_code == 200
    assert answer.json() == json.loads(json.dumps(fly_plan(plan_of_json(PLAN), frames=5)))


def test_presets_for_a_body(client):
    answer = client.get("/api/lab/presets?stature_cm=145&age=11&table=female").json()
    assert answer["person"] == {"stature_cm": 145.0, "table": "female", "age": 11.0}
    assert all(one["plan"]["person"]["stature_cm"] == 145.0 for one in answer["presets"])


@pytest.mark.parametrize("asked", ["stature_cm=1.45", "table=other", "age=2", "duration_s=1600"])
def test_a_body_that_nobody_has_is_told(client, asked):
    answer = client.get(f"/api/lab/presets?{asked}")
    assert answer.status_code == 422
    assert "expected" in answer.json()["error"]


def test_links_there_and_back(client):
    made = client.post("/api/lab/link", json={"plan": PLAN}).json()
    assert made["address"].startswith("/lab?plan=p1.")
    assert client.get("/api/lab/plan", params={"code": made["code"]}).json()["plan"] == PLAN


def test_a_film_that_is_not_there_cannot_be_replayed(client):
    answer = client.get("/api/lab/replay?film=00000000-0000-0000-0000-000000000001")
    assert answer.status_code == 404


def test_two_plans_beside_each_other(client):
    answer = client.post("/api/lab/compare", json={"plans": [PLAN, PLAN]}).json()
    assert len(answer["flights"]) == len(answer["fans"]) == 2
    # law: the same plan with the same draws scatters the same
    assert answer["fans"][0]["landings"] == answer["fans"][1]["landings"]


def test_a_search_runs_beside_and_can_be_given_up(client):
    begun = client.post("/api/lab/forgive", json={"plan": PLAN, "starts": 30}).json()
    assert client.post("/api/lab/forgive", json={"plan": PLAN}).status_code == 422  # one at a time
    client.post(f"/api/lab/forgive/{begun['search']}/stop")
    deadline = time.monotonic() + 30
    while not (told := client.get(f"/api/lab/forgive/{begun['search']}").json())["done"]:
        assert time.monotonic() < deadline
        time.sleep(0.1)
    assert told["found"] is None
    assert told["sentence"] == "Stopped"


def test_a_plan_without_an_aim_cannot_be_forgiven(client):
    answer = client.post("/api/lab/forgive", json={"plan": {**PLAN, "aim": None}})
    assert answer.status_code == 422
    assert "aim" in answer.json()["error"]


@pytest.mark.parametrize(
    "body",
    [
        b"",
        b"[]",
        b"{}",
        b'{"plan": 1}',
        b'{"plan": {}}',
        b'{"plan": ' + b"[" * 5000,
        b"\xff",
        b'{"plan": NaN}',
    ],
)
def test_what_is_no_plan_is_a_sentence(client, body):
    answer = client.post("/api/lab/fly", content=body, headers={"Content-Type": "application/json"})
    assert answer.status_code == 422
    assert "What to do" in answer.json()["error"]


def test_a_body_far_too_large_is_refused(client):
    answer = client.post("/api/lab/fly", json={"plan": {**PLAN, "name": "x" * 200_000}})
    assert answer.status_code == 422
    assert "larger" in answer.json()["error"]


@pytest.mark.parametrize("field", ["duration_s", "take_off"])
def test_numbers_that_are_none_are_refused(client, field):
    sent = json.dumps({"plan": {**PLAN, field: {"momentum_per_kg": 1e400} if field == "take_off" else 1e400}})
    answer = client.post("/api/lab/fly", content=sent, headers={"Content-Type": "application/json"})
    assert answer.status_code == 422


@pytest.mark.parametrize(
    "change",
    [
        {"duration_s": 10**400},  # larger than any float (IEEE 754 ends at 1.8e308)
        {"take_off": {"momentum_per_kg": -(10**400)}},
        {"aim": {"somersaults": 2, "twists": 0, "shape": []}},
        {"aim": {"somersaults": 10**400, "twists": 0}},
        {"inputs": [{"name": "x", "unit": "rad", "least": 0, "most": 1, "angles": 3}]},
        {"inputs": [{"name": "x", "unit": "rad", "least": 0, "most": 1, "angles": [[0, [], 1]]}]},
        {"inputs": [{"name": "x", "unit": "m²/s", "least": -(10**400), "most": 1, "momentum": True}]},
        {"name": "\ud800"},  # half a letter, which UTF-8 cannot hold (RFC 3629, section 3)
    ],
)
@pytest.mark.parametrize("address", ["fly", "link"])
def test_a_hostile_plan_is_a_sentence(client, change, address):
    sent = json.dumps({"plan": {**PLAN, **change}})
    answer = client.post(f"/api/lab/{address}", content=sent, headers={"Content-Type": "application/json"})
    assert answer.status_code == 422
    assert "Found" in answer.json()["error"]


@pytest.mark.parametrize("extra", [{"noise": []}, {"seed": 10**400}, {"noise": {"timing_ms": 10**400}}])
def test_a_fan_of_noise_that_is_none_is_a_sentence(client, extra):
    answer = client.post("/api/lab/fan", json={"plan": PLAN, **extra})
    assert answer.status_code == 422


def test_nobody_in_the_hall_flies_unasked(client):
    hall = TestClient(
        at_door(create_app(client.app.state.desk, hall=Hall(("10.0.0.9",))), Door.HALL),
        base_url="https://10.0.0.9",
    )
    for method, path in (("GET", "/api/lab/presets"), ("POST", "/api/lab/fly"), ("POST", "/api/lab/forgive")):
        assert hall.request(method, path, json={"plan": PLAN}).status_code == 401
