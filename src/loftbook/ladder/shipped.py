"""What comes with Loftbook: its ladder and its difficulty tables, read from package data.

This is the one place of `ladder` that reads package data.
"""

from __future__ import annotations

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


@cache
def shipped_difficulty() -> Tables:
    """The dated difficulty tables that come with Loftbook.

    >>> shipped_difficulty().trampoline[-1].ends.isoformat()
    '2024-12-31'
    """
    return read_difficulty(_data("difficulty.toml"))


def _data(name: str) -> str:
    return files("loftbook.ladder").joinpath("data", name).read_text(encoding="utf-8")
