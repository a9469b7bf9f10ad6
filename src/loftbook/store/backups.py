"""A copy of the book that is whole and was looked at, before it gets its name; and the way back from one."""

from __future__ import annotations

import os
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING
from uuid import uuid4

import sqlalchemy as sa
from sqlalchemy.exc import DatabaseError
from sqlalchemy.pool import NullPool

from loftbook.errors import BookFileError
from loftbook.store.erasing import ErasedOnce, erasures
from loftbook.store.looking import look_at
from loftbook.store.upgrading import NEWEST, step_of
from loftbook.store.wrapping import in_our_words

if TYPE_CHECKING:
    from loftbook.store.database import Store

#: What may change without the book's revision: how far work is, and what left the machine.
_NOTED = frozenset({"job", "gone_out", "gone_out_about"})


@dataclass(frozen=True)
class Looked:
    """What a full look at a book's file found: which change it has seen last, and how many rows each table has."""

    revision: int
    rows: Mapping[str, int]


def copy_of(store: Store, to: Path) -> Path:
    """Writes the book as it is now to a new file; raises `BookFileError` if that fails.

    The copy is made under a temporary name, synced, checked and only then renamed, so
    that `to` is either the whole book or what it was before. Checked is: every page, every
    index, every reference, and as many rows in every table as the book has.
    """
    if store.engine.dialect.name != "sqlite":
        raise BookFileError("A book on a server is backed up by the server's own tools", todo="use pg_dump")
    to = to.expanduser().absolute()
    if not to.parent.is_dir():
        raise BookFileError(f"The folder {to.parent} does not exist", todo="make it, or name another")
    if store.path is not None and to == store.path:
        raise BookFileError("A backup cannot take the place of the book itself", todo="name another file")
    draft = to.with_name(f".{to.name}.{uuid4().hex[:8]}")
    try:
        before = _counted(store)
        store.alone("VACUUM INTO ?", str(draft))
        _sync(draft)
        _compare(before, looked_through(draft), _counted(store))
        draft.replace(to)
        _sync(to.parent)
    finally:
        draft.unlink(missing_ok=True)
    return to


def looked_through(file: Path, *, called: str = "") -> Looked:
    """Looks at all pages and references of a book and counts its rows; raises `BookFileError` for a damaged one.

    One that a newer Loftbook wrote is refused too. `called` is what an error calls the file.
    """
    _check(file)
    engine = _reading(file)
    try:
        with in_our_words(called or str(file)), engine.connect() as connection:
            _not_newer(step_of(connection), called or str(file))
            return _looked(connection)
    finally:
        engine.dispose()


def put_back(backup: Path, book: Path, *, mark: int) -> Looked:
    """Makes a book's file what a backup holds; raises `BookFileError` if the backup is not whole or the book in use.

    The backup is copied under a temporary name, synced and looked through, and takes the
    book's name only then. Whoever calls has kept the book that was there.
    """
    backup, book = backup.expanduser().absolute(), book.expanduser().absolute()
    if not backup.is_file():
        raise BookFileError(
            f"There is no backup at {backup}", todo="name one that `loftbook book backups` lists"
        )
    if backup == book:
        raise BookFileError("A book cannot be restored from itself", todo="name a backup")
    look_at(backup, mark=mark, create=False)
    draft = book.with_name(f".{book.name}.{uuid4().hex[:8]}")
    try:
        _copied(backup, draft)
        found = looked_through(draft, called=str(backup))
        _let_go(book)
        draft.replace(book)
        for ending in ("-wal", "-shm"):
            book.with_name(book.name + ending).unlink(missing_ok=True)
        _sync(book.parent)
    finally:
        draft.unlink(missing_ok=True)
    return found


def erasures_in(file: Path) -> tuple[ErasedOnce, ...]:
    """Who was erased, as a book's file knows it; nothing of the file is changed."""
    engine = _reading(file)
    try:
        with in_our_words(str(file)), engine.connect() as connection:
            return erasures(connection)
    finally:
        engine.dispose()


def _not_newer(step: str | None, called: str) -> None:
    if step is not None and step > NEWEST:
        raise BookFileError(
            f"The copy {called} was written by a newer Loftbook (step {step}; this one knows {NEWEST})",
            todo="update Loftbook first; nothing was touched",
        )


def _copied(backup: Path, draft: Path) -> None:
    """A copy of all that a file and its log hold, whether or not anybody has it open."""
    engine = _reading(backup, write=True)
    try:
        with in_our_words(str(backup)), engine.connect() as connection:
            connection.exec_driver_sql("VACUUM INTO ?", (str(draft),))
        _sync(draft)
    finally:
        engine.dispose()


def _let_go(book: Path) -> None:
    """Raises where somebody else has the book open: SQLite leaves its log only to whoever is alone with it."""
    if not book.exists():
        return
    engine = _reading(book, write=True)
    try:
        with engine.connect() as connection:
            connection.exec_driver_sql("PRAGMA busy_timeout = 500")
            connection.exec_driver_sql("PRAGMA journal_mode = DELETE")
    except DatabaseError as error:
        if "locked" in str(error.orig):
            raise BookFileError(
                f"The book {book} is open in another program",
                todo="stop `loftbook serve`, then restore again",
            ) from error
        # A damaged book is in nobody's use, and the reason to restore.
    finally:
        engine.dispose()


def _reading(file: Path, *, write: bool = False) -> sa.Engine:
    if write:
        url = sa.URL.create("sqlite", database=str(file))
    else:
        address = f"file:{file}?mode=ro".replace("%", "%25").replace("#", "%23")
        url = sa.URL.create("sqlite", database=address, query={"uri": "true"})
    return sa.create_engine(url, poolclass=NullPool)


def _counted(store: Store) -> Looked:
    with store.read() as connection:
        return _looked(connection)


def _looked(connection: sa.Connection) -> Looked:
    names = [name for name in sa.inspect(connection).get_table_names() if name != "alembic_version"]
    tables = (sa.table(name) for name in sorted(names))
    rows = {one.name: connection.scalar(sa.select(sa.func.count()).select_from(one)) or 0 for one in tables}
    revision = connection.exec_driver_sql("SELECT revision FROM book").scalar()
    return Looked(int(revision or 0), rows)


def _compare(before: Looked, copy: Looked, after: Looked) -> None:
    """The copy has as many rows in every table as the book had in the state that was copied."""
    if not before.revision <= copy.revision <= after.revision or copy.rows.keys() != before.rows.keys():
        raise BookFileError("The copy is of another state than the book", todo="back up again")
    same = next((one for one in (before, after) if one.revision == copy.revision), None)
    if same is None:
        return  # others wrote before and after the moment of the copy, so nobody counted at that moment
    for table, count in copy.rows.items():
        if count != same.rows[table] and table not in _NOTED:
            raise BookFileError(
                f"The copy has {count} rows of {table}, and the book {same.rows[table]}",
                todo="back up again; if it stays so, keep both files and tell whoever looks after Loftbook",
            )


def _check(draft: Path) -> None:
    engine = sa.create_engine(sa.URL.create("sqlite", database=str(draft)), poolclass=NullPool)
    try:
        with engine.connect() as connection:
            found = list(connection.exec_driver_sql("PRAGMA integrity_check").scalars())
            lost = connection.exec_driver_sql("PRAGMA foreign_key_check").all()
            found += [f"{row[0]} points to no {row[2]}" for row in lost]
    except DatabaseError as error:
        found = [str(error.orig)]
    finally:
        engine.dispose()
    if found != ["ok"]:
        wrong = next(one for one in found if one != "ok")
        raise BookFileError(
            f"The copy is damaged ({wrong})", todo="take another copy, or check the disk and make one"
        )


def _sync(path: Path) -> None:
    if os.name == "nt" and path.is_dir():
        return  # Windows has no way to sync a folder
    handle = os.open(path, os.O_RDONLY if path.is_dir() else os.O_RDWR)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)
