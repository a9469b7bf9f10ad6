"""Camps put right: how each was described before; surfaces that were assumed. Frozen, and imports nothing of ours."""

import sqlalchemy as sa
from alembic import op
from sqlalchemy.dialects import postgresql

revision = "0003"
down_revision = "0002"

SEQ = sa.BigInteger().with_variant(sa.Integer(), "sqlite")
WORDS = sa.Text().with_variant(sa.Text(collation="C"), "postgresql")  # sorted as a file sorts
UID = sa.Text().with_variant(sa.Uuid(), "postgresql")
UTC = sa.Text().with_variant(sa.TIMESTAMP(timezone=True), "postgresql")
DOC = sa.Text().with_variant(postgresql.JSON(), "postgresql")
FLAG = sa.Integer().with_variant(sa.Boolean(), "postgresql")


def upgrade() -> None:
    op.add_column("camp", sa.Column("surfaces_assumed", FLAG, nullable=True))
    op.create_table(
        "camp_before",
        sa.Column("seq", SEQ, nullable=False),
        sa.Column("camp", UID, nullable=False),
        sa.Column("was", DOC, nullable=False),
        sa.Column("until", UTC, nullable=False),
        sa.Column("by", WORDS, nullable=False),
        sa.ForeignKeyConstraint(["camp"], ["camp.id"], name="fk_camp_before_camp"),
        sa.PrimaryKeyConstraint("seq", name="pk_camp_before"),
        sqlite_strict=True,
        sqlite_with_rowid=True,
    )
    op.create_index("ix_camp_before_camp", "camp_before", ["camp"])
