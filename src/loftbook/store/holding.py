"""Everything that a book holds about one child, table by table, as plain values."""

from __future__ import annotations

from collections.abc import Collection
from datetime import date, datetime
from enum import Enum
from typing import Any
from uuid import UUID

import sqlalchemy as sa

from loftbook.book.naming import Naming
from loftbook.store import schema
from loftbook.store.batches import batched
from loftbook.store.erasing import pointing_at, texts_scanned

Rows = dict[str, list[dict[str, Any]]]


def held_about(connection: sa.Connection, athlete: UUID, naming: Naming) -> Rows:
    """Her rows by table: those that point at her, those that point at these, and what was set aside of her.

    Rows of others that name her are told with the text that does, and nothing else of them.
    """
    found: Rows = {}
    _gather(connection, schema.athlete, schema.athlete.c.id, [athlete], found)
    hers = [UUID(row["id"]) for name in ("attempt", "withdrawal") for row in found.get(name, ())]
    for table, column, ids in (
        (schema.received, schema.received.c.id, hers),
        (schema.set_aside, schema.set_aside.c.athlete, [athlete]),
    ):
        _gather(connection, table, column, ids, found)
    named = _named_elsewhere(connection, naming, set(found))
    return {name: rows for name, rows in (*found.items(), ("named_elsewhere", named)) if rows}


def columns_of(table: str) -> dict[str, str]:
    """The columns of a table and what kind of value each holds."""
    return {one.name: type(one.type).__name__ for one in schema.metadata.tables[table].columns}


def tables_about_children() -> frozenset[str]:
    """Every table that can hold a row about one child."""
    found: set[str] = {"received", "set_aside"}
    todo = [schema.athlete]
    while todo:
        table = todo.pop()
        if table.name not in found:
            found.add(table.name)
            todo += [child for child, _, _ in pointing_at(table)]
    return frozenset(found)


def _gather(
    connection: sa.Connection, table: sa.Table, column: sa.Column[Any], ids: Collection[Any], found: Rows
) -> None:
    have = {_key(table, row) for row in found.get(table.name, ())}
    new = []
    for some in batched(ids):
        for row in connection.execute(sa.select(table).where(column.in_(some))).mappings():
            plain = {name: _plain(value) for name, value in row.items()}
            if _key(table, plain) not in have:
                have.add(_key(table, plain))
                new.append((dict(row), plain))
    found.setdefault(table.name, []).extend(plain for _, plain in new)
    for child, reference, target in pointing_at(table):
        keys = [row[target.name] for row, _ in new]
        if keys and (child.name, reference.name) != ("attempt", "replaces"):
            _gather(connection, child, reference, keys, found)


def _key(table: sa.Table, row: dict[str, Any]) -> tuple[Any, ...]:
    return tuple(row[one.name] for one in table.primary_key.columns)


def _named_elsewhere(
    connection: sa.Connection, naming: Naming, hers: Collection[str]
) -> list[dict[str, Any]]:
    told: list[dict[str, Any]] = []
    for table, column in texts_scanned():
        if table.name in hers:
            continue
        for (value,) in connection.execute(sa.select(column)):
            told += [{"table": table.name, "text": text} for text in _texts(value) if naming.names_her(text)]
    return told


def _texts(value: Any) -> list[str]:
    if isinstance(value, str):
        return [value]
    if isinstance(value, dict):
        return [text for one in value.values() for text in _texts(one)]
    return [text for one in value for text in _texts(one)] if isinstance(value, (list, tuple)) else []


def _plain(value: Any) -> Any:
    if isinstance(value, Enum):
        return value.value
    if isinstance(value, UUID):
        return str(value)
    if isinstance(value, (date, datetime)):
        return value.isoformat()
    if isinstance(value, bytes):
        return f"{len(value)} bytes"
    return list(value) if isinstance(value, tuple) else value
