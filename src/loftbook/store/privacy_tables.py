"""What a book holds for the children's sake: what left the machine, who was erased, and counts that stay.

Of a child who was erased nothing is kept but a fingerprint of her id, by which an old
tablet's record or an old backup is known for hers, and counts by camp and rung that
nothing joins from one camp to another.
"""

from __future__ import annotations

from sqlalchemy import Column, ForeignKey, Index, Table

from loftbook.insight.standing import State
from loftbook.store.schema import metadata
from loftbook.store.types import Doc, Int, Key, Seq, Uid, Utc, Words


def _words(name: str) -> Column[object]:
    return Column(name, Words, nullable=False)


gone_out = Table(
    "gone_out",  # what left the machine: a paper, a list, a film, a backup, the day's sheet to a tablet
    metadata,
    Column("seq", Seq, primary_key=True),
    Column("id", Uid, nullable=False, unique=True),
    Column("at", Utc, nullable=False),
    _words("what"),
    _words("by"),  # who took it: this laptop's pages, a command, a device by its name
    _words("for_whom"),
    Column("children", Int, nullable=False),  # how many it is about; stays when one of them is erased
    Column("camp", Uid, ForeignKey("camp.id")),
    _words("file"),  # where a command wrote it; empty: a browser took it
    _words("digest"),  # SHA-256 of that file
    Index(None, "at"),
    sqlite_strict=True,
    sqlite_with_rowid=True,
)
gone_out_about = Table(
    "gone_out_about",  # which children it is about; a row goes with the child
    metadata,
    Column("gone_out", Uid, ForeignKey("gone_out.id"), primary_key=True),
    Column("athlete", Uid, ForeignKey("athlete.id"), primary_key=True),
    Index(None, "athlete"),
    sqlite_strict=True,
    sqlite_with_rowid=False,
)
erased = Table(
    "erased",  # that a child was erased, when and by whom
    metadata,
    Column("seq", Seq, primary_key=True),
    Column("digest", Words, nullable=False, unique=True),  # SHA-256 of her id, which was drawn by chance
    Column("at", Utc, nullable=False),
    _words("by"),
    Column("told", Doc, nullable=False),  # how many rows went from which table
    sqlite_strict=True,
    sqlite_with_rowid=True,
)
count_kept = Table(
    "count_kept",  # how many children who were erased stood where at a camp
    metadata,
    Column("camp", Uid, ForeignKey("camp.id"), primary_key=True),
    Column("rung", Words, primary_key=True),
    Column("state", Key(State), primary_key=True),
    Column("children", Int, nullable=False),
    sqlite_strict=True,
    sqlite_with_rowid=False,
)
