"""What left the machine: a line for each paper, list, film or backup, kept without the child when she is erased."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass, fields
from datetime import datetime
from uuid import UUID

import sqlalchemy as sa

from loftbook.store import clip_tables, schema
from loftbook.store.batches import batched, insert_all
from loftbook.store.privacy_tables import gone_out, gone_out_about


@dataclass(frozen=True)
class GoneOut:
    """A fact: something about children left the machine.

    `children` is how many it is about. `file` and `digest` (SHA-256) are of a file that a
    command wrote; empty where a browser took it.
    """

    id: UUID
    at: datetime
    what: str
    by: str
    for_whom: str
    children: int
    camp: UUID | None = None
    file: str = ""
    digest: str = ""


_COLUMNS = tuple(gone_out.c[field.name] for field in fields(GoneOut))


def note(connection: sa.Connection, new: GoneOut, about: Collection[UUID]) -> None:
    """Writes a line down, with the children it is about."""
    insert_all(connection, gone_out, [dict(vars(new))])
    insert_all(connection, gone_out_about, [{"gone_out": new.id, "athlete": who} for who in set(about)])


def about(connection: sa.Connection, athlete: UUID) -> tuple[GoneOut, ...]:
    """What left about one child, the oldest first."""
    hers = sa.select(gone_out_about.c.gone_out).where(gone_out_about.c.athlete == athlete)
    query = sa.select(*_COLUMNS).where(gone_out.c.id.in_(hers)).order_by(gone_out.c.seq)
    return tuple(GoneOut(*row) for row in connection.execute(query))


def latest(connection: sa.Connection, most: int = 500) -> tuple[GoneOut, ...]:
    """The last lines, the newest first."""
    query = sa.select(*_COLUMNS).order_by(gone_out.c.seq.desc()).limit(most)
    return tuple(GoneOut(*row) for row in connection.execute(query))


def children_of(connection: sa.Connection, lines: Collection[UUID]) -> dict[UUID, tuple[UUID, ...]]:
    """Which children who are in the book each line is about."""
    a = gone_out_about.c
    found: dict[UUID, tuple[UUID, ...]] = {}
    for some in batched(lines):
        for row in connection.execute(sa.select(a.gone_out, a.athlete).where(a.gone_out.in_(some))):
            found[row.gone_out] = (*found.get(row.gone_out, ()), row.athlete)
    return found


def children_at(connection: sa.Connection, camp: UUID) -> frozenset[UUID]:
    """Who was expected at a camp, or of whom something was written there."""
    return frozenset(
        who
        for table in (schema.camp_athlete, schema.attempt)
        for who in connection.scalars(sa.select(table.c.athlete).where(table.c.camp == camp).distinct())
    )


def children_in_film(connection: sa.Connection, film: UUID) -> frozenset[UUID]:
    """Whose turn a film was put with."""
    a, c = schema.attempt.c, clip_tables.clip.c
    return frozenset(
        connection.scalars(sa.select(a.athlete).join(clip_tables.clip, c.attempt == a.id).where(c.id == film))
    )
