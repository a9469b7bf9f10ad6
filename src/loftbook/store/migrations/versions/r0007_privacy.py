"""What left the machine, who was erased, counts that stay. Frozen; nothing of Loftbook is imported here."""

from typing import Any

import sqlalchemy as sa
from alembic import op
from sqlalchemy.dialects import postgresql

revision = "0007"
down_revision = "0006"

SEQ = sa.BigInteger().with_variant(sa.Integer(), "sqlite")
WORDS = sa.Text().with_variant(sa.Text(collation="C"), "postgresql")  # sorted as a file sorts
INT = sa.Integer().with_variant(sa.BigInteger(), "postgresql")
UID = sa.Text().with_variant(sa.Uuid(), "postgresql")
UTC = sa.Text().with_variant(sa.TIMESTAMP(timezone=True), "postgresql")
DOC = sa.Text().with_variant(postgresql.JSON(), "postgresql")


def _table(name: str, *columns: sa.schema.SchemaItem, key: list[str], rowid: bool = True) -> None:
    keys = sa.PrimaryKeyConstraint(*key, name=f"pk_{name}")
    op.create_table(name, *columns, keys, sqlite_strict=True, sqlite_with_rowid=rowid)


def _need(kind: sa.types.TypeEngine[Any], *names: str) -> list[sa.Column[Any]]:
    return [sa.Column(name, kind, nullable=False) for name in names]


def _to(table: str, column: str) -> sa.ForeignKeyConstraint:
    return sa.ForeignKeyConstraint([column], [f"{column}.id"], name=f"fk_{table}_{column}")


def upgrade() -> None:
    _table(
        "gone_out",
        *_need(SEQ, "seq"),
        *_need(UID, "id"),
        *_need(UTC, "at"),
        *_need(WORDS, "what", "by", "for_whom"),
        *_need(INT, "children"),
        sa.Column("camp", UID, nullable=True),
        *_need(WORDS, "file", "digest"),
        _to("gone_out", "camp"),
        sa.UniqueConstraint("id", name="uq_gone_out_id"),
        key=["seq"],
    )
    op.create_index("ix_gone_out_at", "gone_out", ["at"])
    _table(
        "gone_out_about",
        *_need(UID, "gone_out", "athlete"),
        _to("gone_out_about", "gone_out"),
        _to("gone_out_about", "athlete"),
        key=["gone_out", "athlete"],
        rowid=False,
    )
    op.create_index("ix_gone_out_about_athlete", "gone_out_about", ["athlete"])
    _table(
        "erased",
        *_need(SEQ, "seq"),
        *_need(WORDS, "digest"),
        *_need(UTC, "at"),
        *_need(WORDS, "by"),
        *_need(DOC, "told"),
        sa.UniqueConstraint("digest", name="uq_erased_digest"),
        key=["seq"],
    )
    _table(
        "count_kept",
        *_need(UID, "camp"),
        *_need(WORDS, "rung", "state"),
        *_need(INT, "children"),
        _to("count_kept", "camp"),
        key=["camp", "rung", "state"],
        rowid=False,
    )
