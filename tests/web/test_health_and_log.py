"""What a server tells whoever watches it: whether it can serve, and lines in which nobody is named."""

import json
import logging
import shutil
import sys
from types import SimpleNamespace

import pytest
from fastapi.testclient import TestClient
from tests.web.cast import cast
from tests.web.conftest import SAME_SITE
from tests.web.doors import at
from tests.web.test_pages import PAGES

from loftbook.desk import health
from loftbook.desk.people import all_athletes
from loftbook.desk.privacy.backups import back_up
from loftbook.web import create_app
from loftbook.web.access import Door
from loftbook.web.log_lines import Nameless

NOTE = "her knee hurt, told by Berta Quillfeather"


def test_no_line_of_the_log_names_anybody_or_opens_anything(tmp_path):
    made = cast(str(tmp_path / "a.book"))
    lines = []
    app = create_app(made.desk, log=lines.append)
    with TestClient(
        app, base_url="http://localhost", headers=SAME_SITE, raise_server_exceptions=False
    ) as client:
        for address in PAGES.values():
            client.get(
                address.format(**{name: str(one) for name, one in vars(made).items() if name != "desk"})
            )
        client.get(f"/athletes/{made.mira}/letter.pdf?note={NOTE}")
        client.get(
            "/Mira/Moss?token=secret-token", headers={"cookie": "loftbook=secret-token", "user-agent": NOTE}
        )
        client.post("/look", data={"look": NOTE})
        client.request("MIRA", "/")
        made.desk.store.close()  # from here on every page that needs the book fails

        def broken(*_, **__):
            raise ValueError(f"{NOTE}: Mira Moss, secret-token")

        with pytest.MonkeyPatch.context() as patch:
            patch.setattr("loftbook.web.pages.squad.view.squad_answer", broken)
            assert client.get("/").status_code == 500
    written = json.dumps(lines)
    assert {"event", "method", "route", "status", "ms", "door"} == set(lines[0])
    assert {line["route"] for line in lines if line["event"] == "request"} >= {
        "/",
        "/athletes/{athlete_id}",
        "none",
    }
    assert any(line["event"] == "fault" and line["kind"] == "ValueError" for line in lines)
    everybody = [
        word for one in all_athletes(made.desk) for name in one.names for word in (name.given, name.family)
    ]
    secrets = [
        *everybody,
        "secret-token",
        "knee",
        "Quillfeather",
        "testclient",
        str(made.mira),
        made.mira.hex,
        "MIRA",
    ]
    assert [one for one in secrets if json.dumps(one)[1:-1].casefold() in written.casefold()] == []


def test_what_libraries_log_is_kept_without_its_words():
    lines = []
    taking = Nameless(lines.append)
    try:
        {}["Mira Moss"]
    except KeyError:
        for name, words in (("uvicorn.error", "Exception in ASGI application\n"), ("somebody", "Mira %s")):
            record = logging.getLogger(name).makeRecord(
                name, logging.ERROR, "a.py", 1, words, ("Moss",) if "%" in words else (), None
            )
            taking.emit(record)
        record = logging.getLogger("x").makeRecord("x", logging.ERROR, "a.py", 1, "Mira", (), sys.exc_info())
        taking.emit(record)
    assert lines[0]["says"] == "Exception in ASGI application"
    assert "Mira" not in json.dumps(lines)
    assert "Moss" not in json.dumps(lines)
    assert lines[2]["kind"] == "KeyError"


def test_alive_and_ready(tmp_path, monkeypatch):
    made = cast(str(tmp_path / "a.book"))
    app = create_app(made.desk)
    with TestClient(app, base_url="http://localhost") as near:
        assert near.get("/health").json() == {"status": "alive"}
        early = near.get("/health/serving")
        assert (early.status_code, early.json()["looked_at"]["backup"]["says"]) == (503, "none yet")
        back_up(made.desk)
        serving = near.get("/health/serving")
        assert (serving.status_code, serving.json()["status"]) == (200, "serving")
        assert set(serving.json()["looked_at"]) == {"database", "jobs", "disk", "backup"}
        with at(made.desk, Door.HALL) as far:
            assert far.get("/health/serving").json() == {"status": "serving"}  # from afar nothing more
        full = SimpleNamespace(free=10_000_000)
        monkeypatch.setattr(shutil, "disk_usage", lambda _: full)
        assert near.get("/health/serving").json()["looked_at"]["disk"] == {
            "well": False,
            "says": "0.0 GB free",
        }


def test_what_cannot_be_looked_at_is_not_well_and_names_no_file(tmp_path, monkeypatch):
    made = cast(str(tmp_path / "a.book"))

    def gone(_):
        raise OSError(f"no such folder {tmp_path}")

    monkeypatch.setattr(health, "backups_of", gone)
    found = {one.name: one for one in health.health(made.desk).findings}
    assert (found["backup"].well, found["backup"].says) == (False, "cannot be looked at (OSError)")
