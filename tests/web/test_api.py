"""The JSON says what the pages say; one result is written once; mistakes are documented answers."""

from datetime import UTC, datetime
from uuid import uuid4

import pytest

from loftbook.desk.answers import athlete_answer, camp_answer, squad_answer
from loftbook.desk.entry import entry_sheet
from loftbook.desk.plain import as_plain


def result(made, **changes):
    sent = {
        "id": str(uuid4()),
        "athlete": str(made.mira),
        "rung": "double_tuck",
        "outcome": "did_it",
        "help": "nobody_in",
        "rater": "H. Coach",
        "at": "2026-04-11T10:00:00Z",
    }
    return sent | changes


def test_the_answers_are_the_desks(client, made):
    assert client.get("/api/squad").json() == as_plain(squad_answer(made.desk))
    assert client.get(f"/api/camps/{made.autumn}").json() == as_plain(camp_answer(made.desk, made.autumn))
    assert client.get(f"/api/athletes/{made.mira}").json() == as_plain(athlete_answer(made.desk, made.mira))
    assert client.get("/api/ladder").json()["edition"] == made.desk.ladder.edition


def test_a_result_is_written(client, made):
    sent = result(made)
    answer = client.post(f"/api/camps/{made.spring}/attempts", json=sent)
    assert (answer.status_code, answer.json()) == (201, {"status": "stored", "id": sent["id"]})
    (turn,) = client.get(f"/api/camps/{made.spring}/attempts").json()
    assert (turn["id"], turn["help"], turn["outcome"]) == (sent["id"], "nobody_in", "did_it")


def test_sent_twice_it_is_written_once(client, made):
    sent = result(made)
    statuses = [client.post(f"/api/camps/{made.spring}/attempts", json=sent).status_code for _ in range(2)]
    assert statuses == [201, 200]
    assert len(entry_sheet(made.desk, made.spring).entered[(made.mira, "double_tuck")]) == 1


def test_the_same_id_with_other_content_is_a_conflict(client, made):
    sent = result(made)
    client.post(f"/api/camps/{made.spring}/attempts", json=sent)
    answer = client.post(f"/api/camps/{made.spring}/attempts", json=sent | {"outcome": "tried"})
    assert answer.status_code == 409
    assert "nothing was overwritten" in answer.json()["error"]


@pytest.mark.parametrize(
    "changes",
    [
        {"help": None},
        {"rung": "double_dream"},
        {"outcome": "nearly"},
        {"at": "2026-04-11T10:00:00"},
        {"at": "9999-12-31T23:59:59Z"},
        {"marks": {"lift": 4}},
        {"marks": {"lift": 2**70}},
        {"note": "x" * 2001},
        {"note": "\x00"},
        {"weight": 30},
    ],
)
def test_what_cannot_stand_is_told(client, made, changes):
    answer = client.post(f"/api/camps/{made.spring}/attempts", json=result(made, **changes))
    assert answer.status_code == 422
    assert answer.json()["error"]
    assert entry_sheet(made.desk, made.spring).entered == {}


def test_the_camps_results_hold_nothing_of_an_earlier_camp(client, made):
    assert client.get(f"/api/camps/{made.spring}/attempts").json() == []


def test_times_are_kept_as_sent(client, made):
    client.post(f"/api/camps/{made.spring}/attempts", json=result(made, at="2026-04-11T12:00:00+02:00"))
    (turns,) = entry_sheet(made.desk, made.spring).entered.values()
    assert turns[0].at == datetime(2026, 4, 11, 10, 0, tzinfo=UTC)
