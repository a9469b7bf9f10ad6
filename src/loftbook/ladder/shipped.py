"""What comes with Loftbook: its ladder and its difficulty tables, read from package data.

This is the one place of `ladder` that reads package data.
"""

from __future__ import annotations

import hashlib
import tomllib
from functools import cache
from importlib.resources import files

from loftbook.ladder.difficulty import Tables, read_difficulty
from loftbook.ladder.reading import read_ladder
from loftbook.ladder.rungs import Ladder


@cache
def shipped_ladder() -> Ladder:
    """The ladder that comes with Loftbook.

    >>> [rung.name for rung in shipped_ladder().test_rungs]
    ['Double back, tuck', 'Double back, pike', 'Double back, open tuck']
    """
    return read_ladder(shipped_text())


@cache
def shipped_text() -> str:
    """The shipped ladder as text with its comments, for a coach to copy and edit.

    >>> "edition" in shipped_text()
    True
    """
    return _data("doubles.toml")


def was_shipped(text: str) -> bool:
    """Whether a text is the shipped ladder, of this Loftbook or of an earlier one, unedited.

    >>> was_shipped(shipped_text()), was_shipped(shipped_text() + "# mine")
    (True, False)
    """
    return text == shipped_text() or hashlib.sha256(text.encode()).hexdigest() in _sums()


@cache
def _sums() -> frozenset[str]:
    return frozenset(tomllib.loads(_data("shipped.toml"))["texts"])


@cache
def shipped_difficulty() -> Tables:
    """The dated difficulty tables that come with Loftbook.

    >>> shipped_difficulty().trampoline[-1].ends.isoformat()
    '2024-12-31'
    """
    return read_difficulty(_data("difficulty.toml"))


def _data(name: str) -> str:
    return files("loftbook.ladder").joinpath("data", name).read_text(encoding="utf-8")
