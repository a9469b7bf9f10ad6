"""A copy of the book that is whole and was looked at, before it gets its name."""

from __future__ import annotations

import os
from pathlib import Path
from typing import TYPE_CHECKING
from uuid import uuid4

import sqlalchemy as sa
from sqlalchemy.exc import DatabaseError

from loftbook.errors import BookFileError

if TYPE_CHECKING:
    from loftbook.store.database import Store


def copy_of(store: Store, to: Path) -> Path:
    """Writes the book as it is now to a new file; raises `BookFileError` if that fails.

    The copy is made under a temporary name, synced, checked and only then renamed, so
    that `to` is either the whole book or what it was before.
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
        store.alone("VACUUM INTO ?", str(draft))
        _sync(draft)
        _check(draft)
        draft.replace(to)
        _sync(to.parent)
    finally:
        draft.unlink(missing_ok=True)
    return to


def _check(draft: Path) -> None:
    engine = sa.create_engine(sa.URL.create("sqlite", database=str(draft)))
    try:
        with engine.connect() as connection:
            found = connection.exec_driver_sql("PRAGMA integrity_check").scalars().all()
    except DatabaseError as error:
        found = [str(error.orig)]
    finally:
        engine.dispose()
    if found != ["ok"]:
        raise BookFileError(f"The copy is damaged ({found[0]})", todo="check the disk, then back up again")


def _sync(path: Path) -> None:
    if os.name == "nt" and path.is_dir():
        return  # Windows has no way to sync a folder
    handle = os.open(path, os.O_RDONLY if path.is_dir() else os.O_RDWR)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)
