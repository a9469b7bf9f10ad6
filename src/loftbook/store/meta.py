"""What the book says about itself: its id, its revision, the programme's own choices."""

from __future__ import annotations

from typing import Any
from uuid import UUID

import sqlalchemy as sa

from loftbook.store.schema import book, setting


def revision(connection: sa.Connection) -> int:
    """How many write transactions the book has seen; changes when anything changes."""
    return int(connection.execute(sa.select(book.c.revision)).scalar_one())


def book_id(connection: sa.Connection) -> UUID:
    """The id that the book got when it was made."""
    found: UUID = connection.execute(sa.select(book.c.id)).scalar_one()
    return found


def settings(connection: sa.Connection) -> dict[str, Any]:
    """The programme's own choices, such as its name on a letter."""
    return {row.key: row.value for row in connection.execute(sa.select(setting))}


def choose(connection: sa.Connection, key: str, value: Any) -> None:
    """Keeps one of the programme's choices (anything JSON can hold), instead of an earlier one."""
    connection.execute(sa.delete(setting).where(setting.c.key == key))
    connection.execute(sa.insert(setting).values(key=key, value=value))


def bump(connection: sa.Connection) -> None:
    """Counts a write transaction; `Store.write` does it."""
    connection.execute(sa.update(book).values(revision=book.c.revision + 1))


def name_the_book(connection: sa.Connection, new: UUID) -> None:
    """Gives a new book its id; leaves an older one's alone."""
    if connection.execute(sa.select(book.c.number)).first() is None:
        connection.execute(sa.insert(book).values(number=1, id=new, revision=0))
