"""What a book holds of films as plain rows, for carrying it over into another book."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from typing import Any
from uuid import UUID

import sqlalchemy as sa

from loftbook.store import clip_tables as tables
from loftbook.store.batches import batched, insert_all

#: What belongs to one clip, in the order in which it can be written.
OF_A_CLIP = (
    tables.track,
    tables.clip_point,
    tables.clip_said,
    tables.film_measured,
    tables.reading,
)


def rows_of_clips(connection: sa.Connection, clips: Collection[UUID]) -> dict[str, list[dict[str, Any]]]:
    """Tracks, points, words and findings of these films, table by table, in the order of writing."""
    found: dict[str, list[dict[str, Any]]] = {table.name: [] for table in OF_A_CLIP}
    for table in OF_A_CLIP:
        for some in batched(clips):
            query = sa.select(table).where(table.c.clip.in_(some)).order_by(table.c.seq)
            found[table.name] += [_without_seq(row) for row in connection.execute(query)]
    return found


def add_rows_of_clips(connection: sa.Connection, rows: Mapping[str, Sequence[dict[str, Any]]]) -> None:
    """Writes what `rows_of_clips` gave, for films that this book has just got."""
    for table in OF_A_CLIP:
        insert_all(connection, table, list(rows.get(table.name, ())))


def bed_lines(connection: sa.Connection) -> tuple[dict[str, Any], ...]:
    """Every bed line that was drawn, in the order of drawing."""
    rows = connection.execute(sa.select(tables.bed_line).order_by(tables.bed_line.c.seq))
    return tuple(_without_seq(row) for row in rows)


def add_bed_lines(connection: sa.Connection, lines: Sequence[dict[str, Any]]) -> None:
    """Writes bed lines of another book."""
    insert_all(connection, tables.bed_line, list(lines))


def gone_clips(connection: sa.Connection) -> tuple[dict[str, Any], ...]:
    """The lines of all films that were deleted."""
    rows = connection.execute(sa.select(tables.clip_gone).order_by(tables.clip_gone.c.seq))
    return tuple(_without_seq(row) for row in rows)


def add_gone_clips(connection: sa.Connection, lines: Sequence[dict[str, Any]]) -> None:
    """Writes that films were deleted which this book never had."""
    insert_all(connection, tables.clip_gone, list(lines))


def _without_seq(row: sa.Row[Any]) -> dict[str, Any]:
    return {key: value for key, value in row._mapping.items() if key != "seq"}
