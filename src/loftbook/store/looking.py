"""Looks at a file before it is opened as a book, without changing a byte of it."""

from __future__ import annotations

import os
from pathlib import Path
from urllib.parse import quote

import sqlalchemy as sa
from sqlalchemy.pool import NullPool

from loftbook.errors import BookFileError
from loftbook.store.wrapping import in_our_words

#: A book of up to so many pages (16 MB) is looked through at each opening.
QUICK_PAGES = 4096
#: Seconds to wait for another program to let go of the file.
PATIENCE = 5.0


def look_at(path: Path, *, mark: int, create: bool, to_write: bool = True) -> None:
    """Raises `BookFileError` for a file that cannot be a book, or is one no more.

    `mark` is the number in the header that says which program a file belongs to. A
    file that is not there, or is empty, is a new book, if `create` allows one. With `to_write`
    False it may lie where nothing can be written.
    """
    if not path.parent.is_dir():
        if not create:
            raise _no_book(path, ", and its folder does not exist")
        raise BookFileError(f"The folder {path.parent} does not exist", todo="make it, or name another")
    if path.is_dir():
        raise BookFileError(f"{path} is a folder", todo="name a file in it")
    if not path.exists():
        _may_be_made(path, create=create)
        return
    _may_be_used(path, to_write=to_write)
    with path.open("rb") as file:
        head = file.read(16)
    if head and head != b"SQLite format 3\x00":
        raise BookFileError(
            f"The file {path} is not a book, or its beginning is damaged",
            todo="open a file that Loftbook made, or the latest backup",
        )
    if head:
        _glance(path, mark)
    elif not create:
        raise _no_book(path, ": the file is empty")


def _no_book(path: Path, why: str = "") -> BookFileError:
    return BookFileError(f"There is no book at {path}{why}", todo="check the name, or import a roster first")


def _may_be_made(path: Path, *, create: bool) -> None:
    if not create:
        raise _no_book(path)
    if not os.access(path.parent, os.W_OK):
        raise BookFileError(f"The folder {path.parent} may not be written to", todo="name another folder")


def _may_be_used(path: Path, *, to_write: bool) -> None:
    if not os.access(path, os.R_OK):
        raise BookFileError(f"The file {path} may not be read", todo="allow reading and writing it")
    if to_write and not (os.access(path, os.W_OK) and os.access(path.parent, os.W_OK)):
        raise BookFileError(
            f"The book {path} can be read but not written",
            todo="allow writing to it and its folder, or copy it and open the copy",
        )


def _glance(path: Path, mark: int) -> None:
    address = sa.URL.create(
        "sqlite", database=f"file:{quote(str(path))}", query={"mode": "ro", "uri": "true"}
    )
    engine = sa.create_engine(address, poolclass=NullPool, connect_args={"timeout": PATIENCE})
    with in_our_words(str(path)), engine.connect() as connection:
        found = connection.exec_driver_sql("PRAGMA application_id").scalar_one()
        if found != mark and connection.exec_driver_sql("SELECT count(*) FROM sqlite_master").scalar_one():
            raise BookFileError(
                f"The file {path} is a database, but of another program",
                todo="open a file that Loftbook made",
            )
        if connection.exec_driver_sql("PRAGMA page_count").scalar_one() <= QUICK_PAGES:
            wrong = connection.exec_driver_sql("PRAGMA quick_check(1)").scalar_one()
            if wrong != "ok":
                raise BookFileError(
                    f"The book {path} is damaged ({wrong})",
                    todo="keep it as it is, and open the latest backup",
                )
