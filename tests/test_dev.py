"""The pure parts of dev.py, and what it says when it cannot go on."""

import doctest
import subprocess
import sys
from pathlib import Path

import dev
import pytest
from tests.conftest import ROOT

MACHINE = "3.11 linux"


def test_the_examples_of_dev_are_true():
    assert doctest.testmod(dev).failed == 0


def test_a_stamp_keeps_names_and_contents_apart():
    stamps = {
        dev.stamp_of(contents, machine)
        for contents, machine in [
            ({"a": b"bc"}, MACHINE),
            ({"ab": b"c"}, MACHINE),
            ({"a": b"b", "c": b""}, MACHINE),
            ({"a": b"b\nc\n0\n"}, MACHINE),
            ({"a": b"bc"}, "3.12 linux"),
        ]
    }
    assert len(stamps) == 5


def test_a_stamp_does_not_depend_on_the_order():
    assert dev.stamp_of({"a": b"1", "b": b"2"}, MACHINE) == dev.stamp_of({"b": b"2", "a": b"1"}, MACHINE)


def test_the_lock_pins_uv_with_hashes():
    pinned = dev.locked((ROOT / dev.LOCK).read_text("utf-8"), "uv").splitlines()
    assert pinned[0].startswith("uv==")
    assert "--hash=sha256:" in pinned[1]
    assert not any("==" in line for line in pinned[1:])


def test_a_lock_that_was_cut_short_is_told():
    with pytest.raises(dev.SetUpError, match="pins no uv"):
        dev.locked("numpy==2.4.6\n", "uv")


@pytest.mark.parametrize("name", ["requirements.lock", "requirements-dev.lock"])
def test_lock_files_name_no_address(name):
    text = (ROOT / name).read_text("utf-8")
    assert "://" not in text
    assert "--index" not in text
    assert "--find-links" not in text


def test_an_unknown_word_is_told_with_the_known_ones():
    ended = subprocess.run(
        [sys.executable, ROOT / "dev.py", "fly"], capture_output=True, text=True, check=False
    )
    assert ended.returncode == 2
    assert "knows no 'fly'" in ended.stderr
    assert "demo, test, check, bench, docs" in ended.stderr


def test_without_network_the_first_use_says_what_it_needs(tmp_path):
    """A copy without .venv, and an index that is not there: one sentence, no traceback."""
    for name in (dev.LOCK, "pyproject.toml", "dev.py"):
        (tmp_path / name).write_bytes((ROOT / name).read_bytes())
    here = {"PATH": "", "PIP_INDEX_URL": "http://127.0.0.1:9/", "UV_INDEX_URL": "http://127.0.0.1:9/"}
    nothing = {
        "PIP_CONFIG_FILE": "/dev/null",
        "PIP_RETRIES": "0",
        "PIP_NO_CACHE_DIR": "1",
        "UV_NO_CACHE": "1",
    }
    ended = subprocess.run(
        [sys.executable, str(Path(tmp_path / "dev.py")), "check"],
        capture_output=True,
        text=True,
        check=False,
        cwd=tmp_path,
        env=here | nothing,
    )
    assert ended.returncode == 2
    assert "needs a network" in ended.stderr
    assert "Traceback" not in ended.stderr
    assert not (tmp_path / ".venv" / "loftbook-set-up.txt").exists()
