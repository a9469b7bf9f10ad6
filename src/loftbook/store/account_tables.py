"""The tables of accounts: who reads this book without holding it, and which camps are hers."""

from __future__ import annotations

from sqlalchemy import Column, ForeignKey, Index, Table

from loftbook.book.accounts import Sees
from loftbook.store.schema import metadata
from loftbook.store.types import Key, Uid, Utc, Words

account = Table(
    "account",
    metadata,
    Column("id", Uid, primary_key=True),
    Column("name", Words, nullable=False),
    Column("sees", Key(Sees), nullable=False),
    Column("made", Utc, nullable=False),
    Column("ended", Utc),
    Column("key", Words, nullable=False, unique=True),  # SHA-256 of what is typed
    sqlite_strict=True,
    sqlite_with_rowid=True,
)
account_camp = Table(
    "account_camp",  # which camps are hers
    metadata,
    Column("account", Uid, ForeignKey("account.id"), primary_key=True),
    Column("camp", Uid, ForeignKey("camp.id"), primary_key=True),
    Index(None, "camp"),
    sqlite_strict=True,
    sqlite_with_rowid=False,
)
