"""Running a command as a coach does: in this process for speed, as a process of its own for the shell."""

import json
import os
import shutil
import subprocess
import sys
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import pytest
from tests.desk import cast

from loftbook.cli import main


@dataclass(frozen=True)
class Answer:
    """How a command ended and what it said."""

    code: int
    out: str
    err: str

    @property
    def json(self) -> Any:
        """Standard output as JSON, strictly: no NaN, no Infinity."""

        def no(word: str) -> None:
            raise ValueError(f"{word} is no JSON")

        return json.loads(self.out, parse_constant=no)


Run = Callable[..., Answer]


@pytest.fixture
def run(capsys, monkeypatch, tmp_path) -> Run:
    """`loftbook` with these words, in an empty folder, with no book but the one that is named."""
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("LOFTBOOK_BOOK", str(tmp_path / "default" / "camp.book"))
    monkeypatch.delenv("LOFTBOOK_DEBUG", raising=False)

    def command(*words: str | Path) -> Answer:
        monkeypatch.setattr(sys, "argv", ["loftbook", *map(str, words)])
        capsys.readouterr()
        code: object = 0
        try:
            main()
        except SystemExit as ended:
            code = ended.code
        said = capsys.readouterr()
        return Answer(code if isinstance(code, int) else 0 if code is None else 1, said.out, said.err)

    return command


def shell(
    *words: str | Path, book: Path, folder: Path, encoding: str = "utf-8", **environment: str
) -> Answer:
    """The same in a process of its own, before a terminal of that encoding."""
    known = {"PATH": os.environ.get("PATH", ""), "LOFTBOOK_BOOK": str(book), "PYTHONIOENCODING": encoding}
    done = subprocess.run(
        [sys.executable, "-m", "loftbook.cli", *map(str, words)],
        cwd=folder,
        env={k: v for k, v in os.environ.items() if k.startswith(("LC_", "LANG", "SYSTEM"))}
        | known
        | environment,
        capture_output=True,
        check=False,
        timeout=120,
    )
    return Answer(done.returncode, done.stdout.decode(encoding), done.stderr.decode(encoding))


@pytest.fixture(scope="session")
def shelf(tmp_path_factory) -> Path:
    """A book with the three lists of the tests in it; each test takes a copy."""
    path = tmp_path_factory.mktemp("shelf") / "camp.book"
    desk = cast.a_desk(path)
    cast.imported(desk)
    desk.store.tidy()
    desk.store.close()
    return path


@pytest.fixture
def book(shelf, tmp_path) -> Path:
    return Path(shutil.copy(shelf, tmp_path / "camp.book"))


@pytest.fixture
def lists() -> Path:
    return cast.LISTS
