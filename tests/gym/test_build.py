"""The page is built by Node from a wheel, anew only when it changed, and missing files are said."""

import os
import subprocess
import sys
from pathlib import Path

import hatch_build
import pytest
from fastapi.testclient import TestClient
from tests.web.cast import cast

from loftbook.web import create_app, islands
from loftbook.web.gym import shell

ROOT = Path(hatch_build.__file__).parent
SAME_SITE = {"sec-fetch-site": "same-origin"}


@pytest.fixture
def client():
    with TestClient(create_app(cast().desk), base_url="http://localhost", headers=SAME_SITE) as talking:
        yield talking


def run_node(*arguments):
    node, _ = hatch_build.node_and_npm()
    return subprocess.run(
        [node, *arguments], cwd=ROOT / "frontend", capture_output=True, text=True, check=False
    )


def test_the_unit_tests_of_the_page_pass():
    """Node's own runner on the same Node that builds it."""
    done = run_node("--test", "{gym,clip,studio}/**/*.test.ts")
    assert done.returncode == 0, done.stdout[-4000:] + done.stderr


def test_the_types_of_the_page_hold():
    done = run_node("node_modules/typescript/bin/tsc", "--noEmit")
    assert done.returncode == 0, done.stdout[-4000:] + done.stderr


def test_a_second_build_does_nothing_and_needs_no_node_on_the_path():
    done = subprocess.run(
        [sys.executable, "hatch_build.py"],
        cwd=ROOT,
        env={**os.environ, "PATH": ""},
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode == 0, done.stderr
    assert "has not changed" in done.stdout


def test_a_change_of_a_source_is_seen_and_a_test_is_no_source(tmp_path):
    (tmp_path / "a.ts").write_text("1")
    before = hatch_build.digest_of(tmp_path)
    (tmp_path / "a.test.ts").write_text("1")
    (tmp_path / "node_modules").mkdir()
    (tmp_path / "node_modules" / "b.ts").write_text("1")
    assert hatch_build.digest_of(tmp_path) == before
    (tmp_path / "a.ts").write_text("2")
    assert hatch_build.digest_of(tmp_path) != before


def test_the_lock_names_no_registry():
    text = (ROOT / "frontend" / "package-lock.json").read_text(encoding="utf-8")
    assert "http" not in text.replace('"url": "https://opencollective.com', "").split('"packages"')[0]
    assert '"resolved"' not in text


def test_the_shell_is_served_and_nothing_beside_it(client):
    page = client.get("/gym")
    assert page.status_code == 200
    script = page.text.split('src="')[1].split('"')[0]
    answer = client.get(script)
    assert answer.headers["content-type"].startswith("text/javascript")
    assert "immutable" in answer.headers["cache-control"]
    worker = client.get("/gym/sw.js")
    assert worker.headers["service-worker-allowed"] == "/gym"
    assert worker.headers["cache-control"] == "no-cache"
    for strange in ("/gym/..%2Fbook.css", "/gym/none.js", "/gym/index", "/gym/%2e%2e%2f%2e%2e%2fapp.py"):
        assert client.get(strange).status_code == 404


def test_missing_files_are_said_with_what_to_do(client, monkeypatch, tmp_path):
    monkeypatch.setattr(shell, "BUILT", tmp_path)
    answer = client.get("/gym", headers={"accept": "text/html"})
    assert answer.status_code == 503
    assert "dev.py demo" in answer.text
    assert client.get("/gym/sw.js").status_code == 503


def test_the_parts_of_other_pages_are_served_and_nothing_beside_them(client):
    """Fetch standard: a module script needs a JavaScript type; names that change with the content may last a year."""
    film = islands.island("clip")
    for address, kind in ((film.script, "text/javascript"), (film.style, "text/css")):
        answer = client.get(address)
        assert answer.headers["content-type"].startswith(kind)
        assert "immutable" in answer.headers["cache-control"]
    for strange in ("/islands/..%2Findex.html", "/islands/none.js", "/islands/islands.json"):
        assert client.get(strange).status_code == 404


def test_a_page_whose_part_was_not_built_has_none(monkeypatch, tmp_path):
    monkeypatch.setattr(islands, "BUILT", tmp_path / "nothing")
    assert islands.island("clip") is None
