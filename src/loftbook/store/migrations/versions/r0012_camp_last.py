"""Counts of those whose last camp a camp was, and their first filling. Frozen; nothing of Loftbook is imported here."""

import sqlalchemy as sa
from alembic import op

revision = "0012"
down_revision = "0011"

WORDS = sa.Text().with_variant(sa.Text(collation="C"), "postgresql")  # sorted as a file sorts
UID = sa.Text().with_variant(sa.Uuid(), "postgresql")
INT = sa.Integer().with_variant(sa.BigInteger(), "postgresql")

COUNTED = """
INSERT INTO camp_last (camp, rung, state, gymnasts)
SELECT visit.camp, standing.rung, standing.state, count(*)
FROM visit
JOIN camp ON camp.id = visit.camp
JOIN standing ON standing.athlete = visit.athlete AND standing.camp = visit.camp
WHERE NOT EXISTS (
    SELECT 1 FROM visit AS later JOIN camp AS there ON there.id = later.camp
    WHERE later.athlete = visit.athlete
    AND (there.starts, there.ends, there.id) > (camp.starts, camp.ends, camp.id)
)
GROUP BY visit.camp, standing.rung, standing.state
"""


def upgrade() -> None:
    op.create_table(
        "camp_last",
        sa.Column("camp", UID, nullable=False),
        sa.Column("rung", WORDS, nullable=False),
        sa.Column("state", WORDS, nullable=False),
        sa.Column("gymnasts", INT, nullable=False),
        sa.ForeignKeyConstraint(["camp"], ["camp.id"], name="fk_camp_last_camp"),
        sa.PrimaryKeyConstraint("camp", "rung", "state", name="pk_camp_last"),
        sqlite_strict=True,
        sqlite_with_rowid=False,
    )
    op.execute(COUNTED)
