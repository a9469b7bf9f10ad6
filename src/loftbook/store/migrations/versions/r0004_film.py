"""Clips, consent, tracks, points, bed lines, readings, jobs. Frozen; nothing of Loftbook is imported here."""

from collections.abc import Sequence
from typing import Any, TypeAlias

import sqlalchemy as sa
from alembic import op
from sqlalchemy.dialects import postgresql

revision = "0004"
down_revision = "0003"

Column: TypeAlias = sa.Column[Any]
Kind: TypeAlias = sa.types.TypeEngine[Any]

SEQ = sa.BigInteger().with_variant(sa.Integer(), "sqlite")
WORDS = sa.Text().with_variant(sa.Text(collation="C"), "postgresql")  # sorted as a file sorts
INT = sa.Integer().with_variant(sa.BigInteger(), "postgresql")
REAL: Kind = sa.REAL().with_variant(sa.Double(), "postgresql")
UID = sa.Text().with_variant(sa.Uuid(), "postgresql")
UTC = sa.Text().with_variant(sa.TIMESTAMP(timezone=True), "postgresql")
DAY = sa.Text().with_variant(sa.Date(), "postgresql")
DOC = sa.Text().with_variant(postgresql.JSON(), "postgresql")
FLAG = sa.Integer().with_variant(sa.Boolean(), "postgresql")


def _table(name: str, *columns: sa.schema.SchemaItem, indexes: Sequence[str] = ()) -> None:
    seq = sa.Column("seq", SEQ, nullable=False)
    keys = sa.PrimaryKeyConstraint("seq", name=f"pk_{name}")
    op.create_table(name, seq, *columns, keys, sqlite_strict=True, sqlite_with_rowid=True)
    for index in indexes:
        op.create_index(f"ix_{name}_{index}", name, [index])


def _need(kind: Kind, *names: str) -> list[Column]:
    return [sa.Column(name, kind, nullable=False) for name in names]


def _may(kind: Kind, *names: str) -> list[Column]:
    return [sa.Column(name, kind, nullable=True) for name in names]


def _to(table: str, *targets: str) -> list[sa.ForeignKeyConstraint]:
    return [
        sa.ForeignKeyConstraint([target], [f"{target}.id"], name=f"fk_{table}_{target}") for target in targets
    ]


def _once(table: str, column: str = "id") -> sa.UniqueConstraint:
    return sa.UniqueConstraint(column, name=f"uq_{table}_{column}")


def upgrade() -> None:
    _consent_and_clips()
    _what_people_said()
    _findings()
    _jobs()


def _consent_and_clips() -> None:
    _table(
        "consent",
        *_need(UID, "id", "athlete"),
        *_need(WORDS, "purpose"),
        *_need(FLAG, "allowed"),
        *_need(DAY, "on"),
        *_may(DAY, "until"),
        *_need(WORDS, "said_by", "recorded_by"),
        *_need(UTC, "at"),
        _once("consent"),
        *_to("consent", "athlete"),
        indexes=["athlete"],
    )
    _table(
        "clip",
        *_need(UID, "id", "attempt"),
        *_need(WORDS, "digest", "name"),
        *_need(INT, "size"),
        *_need(UTC, "attached"),
        *_need(WORDS, "by", "station"),
        *_may(UID, "consent"),
        *_need(WORDS, "consent_words"),
        *_need(DAY, "keep_until"),
        *_may(UTC, "made"),
        *_need(FLAG, "invented"),
        _once("clip"),
        *_to("clip", "attempt", "consent"),
        indexes=["attempt", "digest"],
    )
    _table(
        "clip_gone",
        *_need(UID, "clip", "attempt"),
        *_need(UTC, "at"),
        *_need(WORDS, "by", "why"),
        *_to("clip_gone", "attempt"),
        indexes=["attempt"],
    )


def _what_people_said() -> None:
    _table(
        "track",
        *_need(UID, "id", "clip"),
        *_need(FLAG, "by_hand"),
        *_need(WORDS, "detector", "file", "digest"),
        *_need(DOC, "settings"),
        *_need(UTC, "at"),
        *_need(WORDS, "by"),
        _once("track"),
        *_to("track", "clip"),
        indexes=["clip"],
    )
    _table(
        "clip_point",
        *_need(UID, "id", "clip"),
        *_need(INT, "frame"),
        *_need(WORDS, "joint"),
        *_may(REAL, "x", "y"),
        *_need(WORDS, "by"),
        *_need(UTC, "at"),
        _once("clip_point"),
        *_to("clip_point", "clip"),
        indexes=["clip"],
    )
    _table(
        "bed_line",
        *_need(UID, "id", "camp"),
        *_need(WORDS, "station"),
        *_may(UID, "clip"),
        *_need(REAL, "x1", "y1", "x2", "y2"),
        *_need(INT, "width", "height"),
        *_need(WORDS, "by"),
        *_need(UTC, "at"),
        _once("bed_line"),
        *_to("bed_line", "camp", "clip"),
        indexes=["camp", "clip"],
    )
    _table(
        "clip_said",
        *_need(UID, "clip"),
        *_need(WORDS, "what"),
        *_need(DOC, "value"),
        *_need(WORDS, "by"),
        *_need(UTC, "at"),
        *_to("clip_said", "clip"),
        indexes=["clip"],
    )


def _findings() -> None:
    _table(
        "film_measured",
        *_need(UID, "clip"),
        *_may(UID, "track"),
        *_need(WORDS, "trust", "sentence"),
        *_need(DOC, "reasons"),
        *_need(WORDS, "recipe"),
        *_need(DOC, "told"),
        _once("film_measured", "clip"),
        *_to("film_measured", "clip", "track"),
    )
    _table(
        "reading",
        *_need(UID, "clip"),
        *_need(INT, "number"),
        *_need(WORDS, "name"),
        *_may(REAL, "value"),
        *_may(WORDS, "word"),
        *_need(WORDS, "unit"),
        *_may(REAL, "uncertainty"),
        *_need(WORDS, "trust", "sentence", "basis", "recipe"),
        *_to("reading", "clip"),
        indexes=["clip"],
    )


def _jobs() -> None:
    _table(
        "job",
        *_need(UID, "id"),
        *_need(WORDS, "kind"),
        *_may(UID, "clip"),
        *_need(DOC, "args"),
        *_need(WORDS, "state"),
        *_need(INT, "tries"),
        *_may(UTC, "lease"),
        *_need(WORDS, "worker"),
        *_need(REAL, "share"),
        *_need(WORDS, "says"),
        *_need(FLAG, "cancel"),
        *_need(UTC, "put"),
        *_need(WORDS, "by"),
        *_may(UTC, "ended"),
        *_need(WORDS, "error"),
        _once("job"),
        *_to("job", "clip"),
        indexes=["state", "clip"],
    )
