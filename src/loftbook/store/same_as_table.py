"""The table of second numbers: one child or one camp that two books had each given a number of its own."""

from __future__ import annotations

from sqlalchemy import Column, ForeignKey, Index, Table

from loftbook.store.schema import metadata
from loftbook.store.types import Uid, Utc

same_as = Table(
    "same_as",
    metadata,
    Column("id", Uid, primary_key=True),  # the number that another book gave
    Column("athlete", Uid, ForeignKey("athlete.id")),  # the child whom it means here
    Column("camp", Uid, ForeignKey("camp.id")),  # or the camp; one of the two is null
    Column("at", Utc, nullable=False),
    Index(None, "athlete"),
    sqlite_strict=True,
    sqlite_with_rowid=True,
)
