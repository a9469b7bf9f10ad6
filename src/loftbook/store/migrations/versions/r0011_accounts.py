"""Who reads the book without holding it, and which camps are hers. Frozen; nothing of Loftbook is imported here."""

import sqlalchemy as sa
from alembic import op

revision = "0011"
down_revision = "0010"

WORDS = sa.Text().with_variant(sa.Text(collation="C"), "postgresql")  # sorted as a file sorts
UID = sa.Text().with_variant(sa.Uuid(), "postgresql")
UTC = sa.Text().with_variant(sa.TIMESTAMP(timezone=True), "postgresql")


def upgrade() -> None:
    op.create_table(
        "account",
        sa.Column("id", UID, nullable=False),
        sa.Column("name", WORDS, nullable=False),
        sa.Column("sees", WORDS, nullable=False),
        sa.Column("made", UTC, nullable=False),
        sa.Column("ended", UTC, nullable=True),
        sa.Column("key", WORDS, nullable=False),
        sa.UniqueConstraint("key", name="uq_account_key"),
        sa.PrimaryKeyConstraint("id", name="pk_account"),
        sqlite_strict=True,
        sqlite_with_rowid=True,
    )
    op.create_table(
        "account_camp",
        sa.Column("account", UID, nullable=False),
        sa.Column("camp", UID, nullable=False),
        sa.ForeignKeyConstraint(["account"], ["account.id"], name="fk_account_camp_account"),
        sa.ForeignKeyConstraint(["camp"], ["camp.id"], name="fk_account_camp_camp"),
        sa.PrimaryKeyConstraint("account", "camp", name="pk_account_camp"),
        sqlite_strict=True,
        sqlite_with_rowid=False,
    )
    op.create_index("ix_account_camp_camp", "account_camp", ["camp"])
