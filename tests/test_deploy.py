"""The files for a server: they read as what they are, and every word in them that is ours exists."""

import configparser
import json
import re
import shlex
import shutil
import subprocess
from pathlib import Path

import pytest
import typer

from loftbook.cli.app import app

DEPLOY = Path(__file__).resolve().parent.parent / "deploy"
UNIT, CONTAINER = DEPLOY / "loftbook.service", DEPLOY / "Containerfile"


class Unit(configparser.RawConfigParser):
    """Keys of a unit may stand twice, and keep their capitals."""

    def __init__(self):
        super().__init__(strict=False, interpolation=None)

    def optionxform(self, optionstr):
        return optionstr


def told():
    unit = Unit()
    unit.read_string(UNIT.read_text(encoding="utf-8"))
    return unit


def instructions():
    """The container file's instructions, each with its words; lines that end in a backslash joined."""
    text = re.sub(r"\\\n", " ", CONTAINER.read_text(encoding="utf-8"))
    lines = [line for line in text.splitlines() if line.strip() and not line.startswith("#")]
    return [tuple(line.split(maxsplit=1)) for line in lines]


def serving():
    last = dict(instructions())
    return {
        "unit": shlex.split(told()["Service"]["ExecStart"])[1:],
        "container": json.loads(last["CMD"]),
    }


@pytest.mark.parametrize("where", ["unit", "container"])
def test_what_is_started_is_a_command_of_ours_with_options_that_it_has(where):
    verb, *words = serving()[where]
    command = typer.main.get_command(app).commands[verb]
    known = {name for option in command.params for name in option.opts}
    asked = {word for word in words if word.startswith("--")}
    assert asked <= known
    assert asked  # there is something to look at


def test_the_unit_gives_nothing_away():
    # systemd.exec(5): with these a service writes to its own folders alone and gains no rights.
    service = told()["Service"]
    strict = {"DynamicUser": "yes", "ProtectSystem": "strict", "ProtectHome": "yes", "NoNewPrivileges": "yes"}
    assert {name: service[name] for name in strict} == strict
    assert service["CapabilityBoundingSet"] == ""
    book = re.search(r"^Environment=LOFTBOOK_BOOK=(\S+)$", UNIT.read_text(encoding="utf-8"), re.MULTILINE)
    assert book[1].startswith(f"/var/lib/{service['StateDirectory']}/")


@pytest.mark.skipif(not shutil.which("systemd-analyze"), reason="systemd-analyze is not on this machine")
def test_systemd_reads_the_unit_without_a_complaint(tmp_path):
    text = re.sub(r"ExecStart=\S+", "ExecStart=/bin/true", UNIT.read_text(encoding="utf-8"))
    (tmp_path / "loftbook.service").write_text(text, encoding="utf-8")
    said = subprocess.run(
        ["systemd-analyze", "verify", "--man=no", str(tmp_path / "loftbook.service")],
        capture_output=True,
        text=True,
        check=False,
    )
    assert "loftbook.service" not in said.stderr, said.stderr


def test_the_container_runs_as_nobody_keeps_the_book_outside_and_is_asked_after():
    words = [word for word, _ in instructions()]
    # Containerfile(5) knows these instructions.
    assert set(words) <= set("FROM COPY RUN ENV USER VOLUME HEALTHCHECK STOPSIGNAL ENTRYPOINT CMD".split())
    told_last = dict(instructions())
    assert int(told_last["USER"]) > 0
    assert words.index("USER") < words.index("ENTRYPOINT")
    assert f"LOFTBOOK_BOOK={told_last['VOLUME']}/" in told_last["ENV"]
    check = json.loads(told_last["HEALTHCHECK"].split("CMD", 1)[1])
    port = serving()["container"][serving()["container"].index("--port") + 1]
    assert f"http://127.0.0.1:{port}/health" in check[2]
    compile(check[2], "healthcheck", "exec")
