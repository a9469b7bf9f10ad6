"""Which findings are older than the facts. Frozen; nothing of Loftbook is imported here."""

import sqlalchemy as sa
from alembic import op

revision = "0006"
down_revision = "0005"

UID = sa.Text().with_variant(sa.Uuid(), "postgresql")


def upgrade() -> None:
    op.create_table(
        "behind",
        sa.Column("athlete", UID, nullable=False),
        sa.Column("camp", UID, nullable=False),
        sa.ForeignKeyConstraint(["athlete"], ["athlete.id"], name="fk_behind_athlete"),
        sa.ForeignKeyConstraint(["camp"], ["camp.id"], name="fk_behind_camp"),
        sa.PrimaryKeyConstraint("athlete", "camp", name="pk_behind"),
        sqlite_strict=True,
        sqlite_with_rowid=False,
    )
