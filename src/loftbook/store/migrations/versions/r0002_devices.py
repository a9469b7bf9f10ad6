"""Devices, what they sent, a second rater, plans. Frozen; nothing of Loftbook is imported here."""

from collections.abc import Sequence
from typing import Any, TypeAlias

import sqlalchemy as sa
from alembic import op
from sqlalchemy.dialects import postgresql

revision = "0002"
down_revision = "0001"

Column: TypeAlias = sa.Column[Any]
Kind: TypeAlias = sa.types.TypeEngine[Any]

SEQ = sa.BigInteger().with_variant(sa.Integer(), "sqlite")
WORDS = sa.Text().with_variant(sa.Text(collation="C"), "postgresql")  # sorted as a file sorts
INT = sa.Integer().with_variant(sa.BigInteger(), "postgresql")
UID = sa.Text().with_variant(sa.Uuid(), "postgresql")
UTC = sa.Text().with_variant(sa.TIMESTAMP(timezone=True), "postgresql")
DOC = sa.Text().with_variant(postgresql.JSON(), "postgresql")
FLAG = sa.Integer().with_variant(sa.Boolean(), "postgresql")


def _table(name: str, *columns: sa.schema.SchemaItem, key: str, indexes: Sequence[str] = ()) -> None:
    keys = sa.PrimaryKeyConstraint(key, name=f"pk_{name}")
    op.create_table(name, *columns, keys, sqlite_strict=True, sqlite_with_rowid=True)
    for index in indexes:
        op.create_index(f"ix_{name}_{index}", name, [index])


def _seq() -> Column:
    return sa.Column("seq", SEQ, nullable=False)


def _need(name: str, kind: Kind) -> Column:
    return sa.Column(name, kind, nullable=False)


def _may(name: str, kind: Kind) -> Column:
    return sa.Column(name, kind, nullable=True)


def _words(*names: str) -> list[Column]:
    return [_need(name, WORDS) for name in names]


def _to(table: str, target: str) -> sa.ForeignKeyConstraint:
    return sa.ForeignKeyConstraint([target], [f"{target}.id"], name=f"fk_{table}_{target}")


def _once(table: str, column: str) -> sa.UniqueConstraint:
    return sa.UniqueConstraint(column, name=f"uq_{table}_{column}")


def upgrade() -> None:
    op.add_column("attempt", _may("turn", INT))
    op.add_column("attempt", _may("second", FLAG))
    _devices()
    _what_they_sent()
    _table(
        "camp_plan",
        _need("camp", UID),
        _need("plan", DOC),
        _need("at", UTC),
        _to("camp_plan", "camp"),
        key="camp",
    )


def _devices() -> None:
    _table(
        "device",
        _need("id", UID),
        *_words("name", "role"),
        _need("made", UTC),
        _need("until", UTC),
        *_words("rater"),
        _need("second", FLAG),
        _may("camp", UID),
        _need("guest", FLAG),
        _may("revoked", UTC),
        _may("last_seen", UTC),
        *_words("token"),
        _to("device", "camp"),
        _once("device", "token"),
        key="id",
    )
    _table(
        "pairing",
        *_words("secret", "code", "role", "name", "rater"),
        _need("second", FLAG),
        _may("camp", UID),
        _need("until", UTC),
        _to("pairing", "camp"),
        _once("pairing", "code"),
        key="secret",
    )


def _what_they_sent() -> None:
    _table(
        "received",
        _seq(),
        _need("id", UID),
        *_words("kind", "digest"),
        _may("device", UID),
        _need("said_at", UTC),
        _need("at", UTC),
        *_words("clock", "way"),
        _to("received", "device"),
        _once("received", "id"),
        key="seq",
        indexes=["device"],
    )
    _table(
        "set_aside",
        _seq(),
        *_words("digest"),
        _may("id", UID),
        _may("athlete", UID),
        _may("camp", UID),
        *_words("verdict", "why"),
        _need("record", DOC),
        _may("device", UID),
        _need("at", UTC),
        *_words("way"),
        _may("settled", UTC),
        *_words("settled_by", "settled_how"),
        _to("set_aside", "device"),
        key="seq",
        indexes=["digest", "athlete"],
    )
