"""Which numbers of other books mean a child or a camp of this one."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import datetime
from uuid import UUID

import sqlalchemy as sa

from loftbook.store.batches import insert_all
from loftbook.store.same_as_table import same_as

ATHLETE, CAMP = "athlete", "camp"


def known_as(connection: sa.Connection, kind: str) -> dict[UUID, UUID]:
    """For each number of another book the one that stands for it here."""
    query = sa.select(same_as.c.id, same_as.c.here).where(same_as.c.kind == kind)
    return {row.id: row.here for row in connection.execute(query)}


def add_known_as(connection: sa.Connection, kind: str, new: Mapping[UUID, UUID], at: datetime) -> None:
    """Writes down that these numbers of another book mean somebody, or a camp, of this one."""
    insert_all(
        connection, same_as, [{"id": one, "kind": kind, "here": here, "at": at} for one, here in new.items()]
    )


def forget_known_as(connection: sa.Connection, here: UUID) -> int:
    """Takes the other numbers of one child out of the book, for good; says how many."""
    return connection.execute(sa.delete(same_as).where(same_as.c.here == here)).rowcount
