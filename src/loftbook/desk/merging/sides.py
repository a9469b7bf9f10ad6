"""The two books of a merge: this one, and a copy of the other that may be brought up to date."""

from __future__ import annotations

import tempfile
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass, field
from datetime import datetime
from pathlib import Path
from uuid import UUID

from loftbook.book.typed.decisions import Answers
from loftbook.desk import Desk
from loftbook.errors import Refused
from loftbook.store.copying import copy_to_read
from loftbook.store.database import MARK, Connection, Store, open_book
from loftbook.store.looking import look_at

BOOK = "book "  # how a fact came: with the name of the other book's file


@dataclass(frozen=True)
class Sides:
    """Both books open, and what is known of whose number is whose.

    `athletes` and `camps` give for a number of the other book the one of this book;
    whoever is missing there waits for an answer (`held`) or is left out.
    """

    desk: Desk
    here: Connection
    there: Connection
    answers: Answers
    way: str  # how a fact came: "book NAME"
    now: datetime
    athletes: Mapping[UUID, UUID] = field(default_factory=dict)
    camps: Mapping[UUID, UUID] = field(default_factory=dict)
    held: frozenset[UUID] = frozenset()
    new_camps: frozenset[UUID] = frozenset()
    names: Mapping[UUID, str] = field(default_factory=dict)  # of children, by their number here


@contextmanager
def other_book(desk: Desk, file: Path) -> Iterator[Store]:
    """A copy of the other book, brought up to today's tables; the file itself is not touched.

    Raises BookFileError for a file that is no book, is damaged, or comes from a newer Loftbook.
    """
    file = file.expanduser().absolute()
    if desk.store.path is not None and file.exists() and file.samefile(desk.store.path):
        raise Refused("this very book", "another one", "name the file of the other book")
    look_at(file, mark=MARK, create=False, to_write=False)
    with tempfile.TemporaryDirectory(prefix="loftbook-merge-") as folder:
        copy = Path(folder) / file.name
        copy_to_read(file, copy)
        store = open_book(copy, create=False)
        try:
            yield store
        finally:
            store.close()
