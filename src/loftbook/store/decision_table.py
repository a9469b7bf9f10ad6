"""The table of what qualified people decided: facts, only ever added to."""

from __future__ import annotations

from sqlalchemy import Column, ForeignKey, Index, Table

from loftbook.book.deciding import Decided
from loftbook.store.schema import metadata
from loftbook.store.types import Day, Key, Seq, Uid, Utc, Words

decision = Table(
    "decision",
    metadata,
    Column("seq", Seq, primary_key=True),
    Column("id", Uid, nullable=False, unique=True),
    Column("athlete", Uid, ForeignKey("athlete.id"), nullable=False),
    Column("rung", Words, nullable=False),
    Column("decided", Key(Decided), nullable=False),
    Column("on", Day, nullable=False),
    Column("review", Day, nullable=False),  # by when it is looked at again
    Column("by", Words, nullable=False),
    Column("qualified", Words, nullable=False),
    Column("reason", Words, nullable=False),
    Column("edition", Words, nullable=False),  # of the ladder whose checklist lay on the table
    Column("at", Utc, nullable=False),
    Column("replaces", Uid),  # the decision that this one corrects
    Index(None, "athlete"),
    sqlite_strict=True,
    sqlite_with_rowid=True,
)
