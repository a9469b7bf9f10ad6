"""Many rows or many ids in a few statements."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Sequence
from typing import Any, TypeVar

import sqlalchemy as sa

_T = TypeVar("_T")


def batched(items: Collection[_T], size: int = 500) -> Iterator[Sequence[_T]]:
    """The items in portions that fit into one statement.

    >>> [len(portion) for portion in batched(range(1200))]
    [500, 500, 200]
    """
    rows = tuple(items)
    for start in range(0, len(rows), size):
        yield rows[start : start + size]


def insert_all(connection: sa.Connection, table: sa.Table, rows: Sequence[dict[str, Any]]) -> None:
    """Inserts all rows with one prepared statement; nothing for no rows."""
    if rows:
        connection.execute(sa.insert(table), rows)
