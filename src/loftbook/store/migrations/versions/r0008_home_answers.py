"""What home coaches answered to letters. Frozen; nothing of Loftbook is imported here."""

import sqlalchemy as sa
from alembic import op
from sqlalchemy.dialects import postgresql

revision = "0008"
down_revision = "0007"

SEQ = sa.BigInteger().with_variant(sa.Integer(), "sqlite")
WORDS = sa.Text().with_variant(sa.Text(collation="C"), "postgresql")  # sorted as a file sorts
UID = sa.Text().with_variant(sa.Uuid(), "postgresql")
UTC = sa.Text().with_variant(sa.TIMESTAMP(timezone=True), "postgresql")
DOC = sa.Text().with_variant(postgresql.JSON(), "postgresql")


def upgrade() -> None:
    op.create_table(
        "home_answer",
        sa.Column("seq", SEQ, nullable=False),
        sa.Column("id", UID, nullable=False),
        sa.Column("athlete", UID, nullable=False),
        sa.Column("camp", UID, nullable=False),
        sa.Column("written", UTC, nullable=False),
        sa.Column("by", WORDS, nullable=False),
        sa.Column("items", DOC, nullable=False),
        sa.Column("more", WORDS, nullable=False),
        sa.Column("at", UTC, nullable=False),
        sa.Column("way", WORDS, nullable=False),
        sa.Column("digest", WORDS, nullable=False),
        sa.ForeignKeyConstraint(["athlete"], ["athlete.id"], name="fk_home_answer_athlete"),
        sa.ForeignKeyConstraint(["camp"], ["camp.id"], name="fk_home_answer_camp"),
        sa.UniqueConstraint("id", name="uq_home_answer_id"),
        sa.UniqueConstraint("digest", name="uq_home_answer_digest"),
        sa.PrimaryKeyConstraint("seq", name="pk_home_answer"),
        sqlite_strict=True,
        sqlite_with_rowid=True,
    )
    op.create_index("ix_home_answer_athlete", "home_answer", ["athlete"])
