"""Which numbers of other books mean a child or a camp of this one. Frozen; nothing of Loftbook is imported here."""

import sqlalchemy as sa
from alembic import op

revision = "0009"
down_revision = "0008"

UID = sa.Text().with_variant(sa.Uuid(), "postgresql")
UTC = sa.Text().with_variant(sa.TIMESTAMP(timezone=True), "postgresql")


def upgrade() -> None:
    op.create_table(
        "same_as",
        sa.Column("id", UID, nullable=False),
        sa.Column("athlete", UID, nullable=True),
        sa.Column("camp", UID, nullable=True),
        sa.Column("at", UTC, nullable=False),
        sa.ForeignKeyConstraint(["athlete"], ["athlete.id"], name="fk_same_as_athlete"),
        sa.ForeignKeyConstraint(["camp"], ["camp.id"], name="fk_same_as_camp"),
        sa.PrimaryKeyConstraint("id", name="pk_same_as"),
        sqlite_strict=True,
        sqlite_with_rowid=True,
    )
    op.create_index("ix_same_as_athlete", "same_as", ["athlete"])
