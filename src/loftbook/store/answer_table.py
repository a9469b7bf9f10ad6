"""The table of what home coaches answered to letters: facts, only ever added to."""

from __future__ import annotations

from sqlalchemy import Column, ForeignKey, Index, Table

from loftbook.store.schema import metadata
from loftbook.store.types import Doc, Seq, Uid, Utc, Words

home_answer = Table(
    "home_answer",
    metadata,
    Column("seq", Seq, primary_key=True),
    Column("id", Uid, nullable=False, unique=True),
    Column("athlete", Uid, ForeignKey("athlete.id"), nullable=False),
    Column("camp", Uid, ForeignKey("camp.id"), nullable=False),  # about which the letter was
    Column("written", Utc, nullable=False),  # by her clock, never after `at`
    Column("by", Words, nullable=False),
    Column("items", Doc, nullable=False),  # one for each thing that the letter set, in its order
    Column("more", Words, nullable=False),
    Column("at", Utc, nullable=False),
    Column("way", Words, nullable=False),  # the name of the file, or "typed"
    Column("digest", Words, nullable=False, unique=True),  # of all that it says: the same twice is one
    Index(None, "athlete"),
    sqlite_strict=True,
    sqlite_with_rowid=True,
)
