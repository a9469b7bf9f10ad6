"""What qualified people decided, in the order in which it was written down."""

from __future__ import annotations

from collections.abc import Collection, Iterable
from dataclasses import fields
from uuid import UUID

import sqlalchemy as sa

from loftbook.book.deciding import Decision
from loftbook.store.batches import batched, insert_all
from loftbook.store.decision_table import decision


def add_decisions(connection: sa.Connection, new: Iterable[Decision]) -> None:
    """Writes decisions down; nothing is ever overwritten."""
    insert_all(connection, decision, [dict(vars(one)) for one in new])


def decisions_of(connection: sa.Connection, athletes: Collection[UUID]) -> tuple[Decision, ...]:
    """Everything that was decided about these gymnasts, oldest first, corrected ones too."""
    columns = [decision.c[field.name] for field in fields(Decision)]
    found: list[Decision] = []
    for some in batched(athletes):
        query = sa.select(*columns).where(decision.c.athlete.in_(some)).order_by(decision.c.seq)
        found += [Decision(*row) for row in connection.execute(query)]
    return tuple(found)
