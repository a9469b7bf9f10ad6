"""The few turns with a second mark are found without reading all turns. Frozen, and imports nothing of ours."""

import sqlalchemy as sa
from alembic import op

revision = "0010"
down_revision = "0009"


def upgrade() -> None:
    op.create_index(
        "ix_attempt_marked_again",
        "attempt",
        ["camp", "athlete", "rung", "turn"],
        sqlite_where=sa.text("second = 1"),
        postgresql_where=sa.text("second"),
    )
