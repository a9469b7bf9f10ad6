"""On which line of a TOML text each key and each value stands.

Python's own reader tells lines for mistakes of spelling only, but a coach who
copied the ladder needs the line of a key that should not be there. This walks over
a text that the reader has already accepted, and so checks nothing itself.
"""

from __future__ import annotations

import tomllib
from bisect import bisect_right
from dataclasses import dataclass, field

Path = tuple[str | int, ...]

_BARE_ENDS = frozenset(" \t=.]")
_SCALAR_ENDS = frozenset(",]}#\r\n")


def lines_of(text: str) -> dict[Path, int]:
    r"""The line of every table, key and list element, counted from 1.

    A path is the way down to a value: ``("rung", 2, "aliases", 0)`` is the first
    alias of the third ``[[rung]]``. The text must be sound TOML.

    >>> lines_of('a = 1\n[[b]]\nc = [\n  "x",\n  "y"]')[("b", 0, "c", 1)]
    5
    """
    scan = _Scan(text)
    table: Path = ()
    while True:
        _skip_blank(scan)
        if scan.at >= len(text):
            return scan.lines
        if text[scan.at] == "[":
            table = _read_header(scan)
        else:
            _read_pair(scan, table)


@dataclass
class _Scan:
    """How far the walk has come, and what it has found."""

    text: str
    at: int = 0
    lines: dict[Path, int] = field(default_factory=dict)
    lengths: dict[Path, int] = field(default_factory=dict)  # of arrays of tables
    starts: list[int] = field(default_factory=list)  # where each line begins

    def __post_init__(self) -> None:
        self.starts = [0, *(i + 1 for i, letter in enumerate(self.text) if letter == "\n")]

    def note(self, path: Path) -> None:
        """The present place is where this path stands, unless it was met before."""
        self.lines.setdefault(path, bisect_right(self.starts, self.at))

    def begins(self, mark: str) -> bool:
        return self.text.startswith(mark, self.at)


def _skip_blank(scan: _Scan) -> None:
    """Over spaces, line ends and comments."""
    while scan.at < len(scan.text):
        if scan.text[scan.at] == "#":
            end = scan.text.find("\n", scan.at)
            scan.at = len(scan.text) if end < 0 else end
        elif scan.text[scan.at].isspace():
            scan.at += 1
        else:
            return


def _read_header(scan: _Scan) -> Path:
    """``[a.b]`` or ``[[a.b]]``; an array's name stands for its last element."""
    mark = "[[" if scan.begins("[[") else "["
    start = scan.at
    scan.at += len(mark)
    parts = _read_key(scan)
    scan.at += len(mark)
    after, scan.at = scan.at, start
    path: Path = ()
    for number, part in enumerate(parts, 1):
        path = (*path, part)
        scan.note(path)
        if number == len(parts) and mark == "[[":
            scan.lengths[path] = scan.lengths.get(path, 0) + 1
        if path in scan.lengths:
            path = (*path, scan.lengths[path] - 1)
            scan.note(path)
    scan.at = after
    return path


def _read_pair(scan: _Scan, table: Path) -> None:
    start = scan.at
    parts = _read_key(scan)
    scan.at += 1  # the sign =
    after, scan.at = scan.at, start
    for number in range(1, len(parts) + 1):
        scan.note((*table, *parts[:number]))
    scan.at = after
    _skip_blank(scan)
    _skip_value(scan, (*table, *parts))


def _read_key(scan: _Scan) -> tuple[str, ...]:
    """A key and its dotted parts; stops at the sign that follows."""
    parts = []
    while True:
        _skip_blank(scan)
        start = scan.at
        if scan.text[start] in "\"'":
            _skip_string(scan)
            parts.append(str(tomllib.loads(f"k={scan.text[start : scan.at]}")["k"]))
        else:
            while scan.text[scan.at] not in _BARE_ENDS:
                scan.at += 1
            parts.append(scan.text[start : scan.at])
        _skip_blank(scan)
        if scan.text[scan.at] != ".":
            return tuple(parts)
        scan.at += 1


def _skip_value(scan: _Scan, path: Path) -> None:
    first = scan.text[scan.at]
    if first in "\"'":
        _skip_string(scan)
    elif first == "[":
        _skip_array(scan, path)
    elif first == "{":
        _skip_inline_table(scan, path)
    else:
        while scan.at < len(scan.text) and scan.text[scan.at] not in _SCALAR_ENDS:
            scan.at += 1


def _skip_array(scan: _Scan, path: Path) -> None:
    scan.at += 1
    place = 0
    while True:
        _skip_blank(scan)
        if scan.begins("]"):
            scan.at += 1
            return
        scan.note((*path, place))
        _skip_value(scan, (*path, place))
        place += 1
        _skip_comma(scan)


def _skip_inline_table(scan: _Scan, path: Path) -> None:
    scan.at += 1
    while True:
        _skip_blank(scan)
        if scan.begins("}"):
            scan.at += 1
            return
        _read_pair(scan, path)
        _skip_comma(scan)


def _skip_comma(scan: _Scan) -> None:
    _skip_blank(scan)
    if scan.begins(","):
        scan.at += 1


def _skip_string(scan: _Scan) -> None:
    """Over a string of any of the four kinds."""
    quote = scan.text[scan.at]
    mark = quote * 3 if scan.begins(quote * 3) else quote
    scan.at += len(mark)
    while not scan.begins(mark):
        scan.at += 2 if quote == '"' and scan.text[scan.at] == "\\" else 1
    scan.at += len(mark)
    while len(mark) == 3 and scan.begins(quote):  # a long string may end in quotes of its own
        scan.at += 1
