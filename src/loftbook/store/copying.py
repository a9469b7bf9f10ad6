"""A copy of somebody else's book that may be brought up to date, while the book itself stays as it lies."""

from __future__ import annotations

from pathlib import Path
from urllib.parse import quote

import sqlalchemy as sa
from sqlalchemy.pool import NullPool

from loftbook.store.wrapping import in_our_words


def copy_to_read(path: Path, to: Path) -> None:
    """Copies a book, log and all, without changing a byte of it."""
    address = sa.URL.create(
        "sqlite", database=f"file:{quote(str(path))}", query={"mode": "ro", "uri": "true"}
    )
    engine = sa.create_engine(address, poolclass=NullPool)
    with in_our_words(str(path)), engine.connect() as connection:
        connection.exec_driver_sql("VACUUM INTO ?", (str(to),))
