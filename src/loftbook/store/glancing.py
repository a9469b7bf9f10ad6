"""One row in some millionths of a second: what is asked at every request, such as who a token belongs to.

A look at the book through `Store.read` is a view that does not change while it is used,
and costs ten times as much. Here is a line to the file of its own that reads one row as it
is at this moment and never waits: so a device that was shut out by another program a moment
ago is out.
"""

from __future__ import annotations

import sqlite3
from pathlib import Path
from threading import Lock
from typing import Any
from urllib.parse import quote


class Glance:
    """Looks at single rows of a book in a file; safe with several threads."""

    def __init__(self, path: Path) -> None:
        self._where = f"file:{quote(str(path))}?mode=rw"
        self._line: sqlite3.Connection | None = None
        self._lock = Lock()

    def row(self, query: str, *values: str) -> tuple[Any, ...] | None:
        """The first row that a query finds, as SQLite keeps it; None where it finds none.

        Raises BlockingIOError where that would take longer or cannot be done: then ask
        through `Store.read`, which waits, and has the sentences.
        """
        with self._lock:
            try:
                if self._line is None:
                    self._line = self._opened()
                # Read to the end, so that no view of the book is held open behind it.
                found = self._line.execute(query, values).fetchall()
            except sqlite3.Error as error:
                self._forget()
                raise BlockingIOError("the book cannot be glanced at now") from error
        return found[0] if found else None

    def close(self) -> None:
        """Gives the file back; a later look opens it again."""
        with self._lock:
            self._forget()

    def _opened(self) -> sqlite3.Connection:
        line = sqlite3.connect(
            self._where, uri=True, timeout=0, isolation_level=None, check_same_thread=False
        )
        line.execute("PRAGMA query_only = ON")
        line.execute("PRAGMA trusted_schema = OFF")
        return line

    def _forget(self) -> None:
        if self._line is not None:
            self._line.close()
            self._line = None
