"""Lists that were read, with every decision; and lists that wait for answers."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import datetime
from typing import Any

import sqlalchemy as sa

from loftbook.store import schema
from loftbook.store.batches import insert_all


@dataclass(frozen=True)
class ImportFile:
    """A list that was read into the book; the digest is the SHA-256 of its bytes, in hex."""

    digest: str
    name: str
    kind: str  # "roster" or "camp list"
    at: datetime
    report: Mapping[str, Any] = field(default_factory=dict)


@dataclass(frozen=True)
class PendingImport:
    """A list that waits for answers; nothing of it is in the book yet."""

    digest: str
    name: str
    kind: str
    at: datetime
    data: bytes
    options: Mapping[str, Any] = field(default_factory=dict)
    answers: Mapping[str, str] = field(default_factory=dict)


def import_of(connection: sa.Connection, digest: str) -> ImportFile | None:
    """The import of the file with these bytes, None if it was never read in."""
    row = connection.execute(
        sa.select(schema.import_file).where(schema.import_file.c.digest == digest)
    ).first()
    return None if row is None else ImportFile(**row._mapping)


def imports(connection: sa.Connection) -> tuple[ImportFile, ...]:
    """All lists that were read in, the latest first."""
    table = schema.import_file
    rows = connection.execute(sa.select(table).order_by(table.c.at.desc(), table.c.digest))
    return tuple(ImportFile(**row._mapping) for row in rows)


def keep_import(connection: sa.Connection, done: ImportFile) -> None:
    """Writes that a list was read, and takes it off the waiting ones; a repeat keeps the latest report."""
    drop_pending(connection, done.digest)
    table = schema.import_file
    connection.execute(sa.delete(table).where(table.c.digest == done.digest))
    insert_all(connection, table, [{**done.__dict__, "report": dict(done.report)}])


def pending(connection: sa.Connection, digest: str) -> PendingImport | None:
    """The waiting list with these bytes."""
    row = connection.execute(
        sa.select(schema.pending_import).where(schema.pending_import.c.digest == digest)
    ).first()
    return None if row is None else PendingImport(**row._mapping)


def all_pending(connection: sa.Connection) -> tuple[PendingImport, ...]:
    """The waiting lists, the oldest first."""
    table = schema.pending_import
    rows = connection.execute(sa.select(table).order_by(table.c.at, table.c.digest))
    return tuple(PendingImport(**row._mapping) for row in rows)


def keep_pending(connection: sa.Connection, waiting: PendingImport) -> None:
    """Keeps a list with the answers given so far, instead of what was kept of it before."""
    drop_pending(connection, waiting.digest)
    row = {**waiting.__dict__, "options": dict(waiting.options), "answers": dict(waiting.answers)}
    insert_all(connection, schema.pending_import, [row])


def drop_pending(connection: sa.Connection, digest: str) -> None:
    """Forgets a waiting list."""
    connection.execute(sa.delete(schema.pending_import).where(schema.pending_import.c.digest == digest))
