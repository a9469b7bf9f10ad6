"""The table of second numbers: one child or one camp that two books had each given a number of its own."""

from __future__ import annotations

from sqlalchemy import Column, Index, Table

from loftbook.store.schema import metadata
from loftbook.store.types import Uid, Utc, Words

same_as = Table(
    "same_as",
    metadata,
    Column("id", Uid, primary_key=True),  # the number that another book gave
    Column("kind", Words, nullable=False),  # "athlete" or "camp"
    Column("here", Uid, nullable=False),  # the number that this book knows her, or it, by
    Column("at", Utc, nullable=False),
    Index(None, "here"),
    sqlite_strict=True,
    sqlite_with_rowid=True,
)
