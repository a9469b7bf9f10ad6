"""What qualified people decided. Frozen; nothing of Loftbook is imported here."""

import sqlalchemy as sa
from alembic import op

revision = "0005"
down_revision = "0004"

SEQ = sa.BigInteger().with_variant(sa.Integer(), "sqlite")
WORDS = sa.Text().with_variant(sa.Text(collation="C"), "postgresql")  # sorted as a file sorts
UID = sa.Text().with_variant(sa.Uuid(), "postgresql")
UTC = sa.Text().with_variant(sa.TIMESTAMP(timezone=True), "postgresql")
DAY = sa.Text().with_variant(sa.Date(), "postgresql")


def upgrade() -> None:
    op.create_table(
        "decision",
        sa.Column("seq", SEQ, nullable=False),
        sa.Column("id", UID, nullable=False),
        sa.Column("athlete", UID, nullable=False),
        sa.Column("rung", WORDS, nullable=False),
        sa.Column("decided", WORDS, nullable=False),
        sa.Column("on", DAY, nullable=False),
        sa.Column("review", DAY, nullable=False),
        sa.Column("by", WORDS, nullable=False),
        sa.Column("qualified", WORDS, nullable=False),
        sa.Column("reason", WORDS, nullable=False),
        sa.Column("edition", WORDS, nullable=False),
        sa.Column("at", UTC, nullable=False),
        sa.Column("replaces", UID, nullable=True),
        sa.ForeignKeyConstraint(["athlete"], ["athlete.id"], name="fk_decision_athlete"),
        sa.UniqueConstraint("id", name="uq_decision_id"),
        sa.PrimaryKeyConstraint("seq", name="pk_decision"),
        sqlite_strict=True,
        sqlite_with_rowid=True,
    )
    op.create_index("ix_decision_athlete", "decision", ["athlete"])
