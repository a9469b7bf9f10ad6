"""The ladder files that were in use, each with the time since when."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime

import sqlalchemy as sa

from loftbook.store import schema
from loftbook.store.batches import insert_all


@dataclass(frozen=True)
class LadderText:
    """A ladder file as it was taken into use."""

    edition: str
    dated: date
    text: str
    since: datetime


def ladder_in_use(connection: sa.Connection) -> LadderText | None:
    """The ladder that was taken into use last, None where none was: `desk.editions` says which is in use."""
    table = schema.ladder_text
    row = connection.execute(sa.select(table).order_by(table.c.seq.desc()).limit(1)).first()
    return None if row is None else LadderText(row.edition, row.dated, row.text, row.since)


def ladder_texts(connection: sa.Connection) -> tuple[LadderText, ...]:
    """All ladders that were ever in use, in the order of taking them."""
    table = schema.ladder_text
    rows = connection.execute(sa.select(table).order_by(table.c.seq))
    return tuple(LadderText(row.edition, row.dated, row.text, row.since) for row in rows)


def use_ladder(connection: sa.Connection, ladder: LadderText) -> bool:
    """Takes a ladder into use; False if exactly this text is in use already."""
    now = ladder_in_use(connection)
    if now is not None and (now.edition, now.text) == (ladder.edition, ladder.text):
        return False
    insert_all(connection, schema.ladder_text, [dict(ladder.__dict__)])
    return True
