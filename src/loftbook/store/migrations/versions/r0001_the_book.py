"""The first book. Frozen: later changes are new files, and nothing of Loftbook is imported here."""

from collections.abc import Sequence
from typing import Any, TypeAlias

import sqlalchemy as sa
from alembic import op
from sqlalchemy.dialects import postgresql

revision = "0001"
down_revision = None

Column: TypeAlias = sa.Column[Any]
Kind: TypeAlias = sa.types.TypeEngine[Any]

SEQ = sa.BigInteger().with_variant(sa.Integer(), "sqlite")
WORDS = sa.Text().with_variant(sa.Text(collation="C"), "postgresql")  # sorted as a file sorts
INT = sa.Integer().with_variant(sa.BigInteger(), "postgresql")
REAL: Kind = sa.REAL().with_variant(sa.Double(), "postgresql")
BLOB = sa.LargeBinary()
UID = sa.Text().with_variant(sa.Uuid(), "postgresql")
UTC = sa.Text().with_variant(sa.TIMESTAMP(timezone=True), "postgresql")
DAY = sa.Text().with_variant(sa.Date(), "postgresql")
DOC = sa.Text().with_variant(postgresql.JSON(), "postgresql")
FLAG = sa.Integer().with_variant(sa.Boolean(), "postgresql")


def _table(
    name: str,
    *columns: sa.schema.SchemaItem,
    key: list[str],
    indexes: Sequence[tuple[str, ...]] = (),
    rowid: bool = True,
) -> None:
    keys = sa.PrimaryKeyConstraint(*key, name=f"pk_{name}")
    op.create_table(name, *columns, keys, sqlite_strict=True, sqlite_with_rowid=rowid)
    for index in indexes:
        op.create_index(f"ix_{name}_{'_'.join(index)}", name, list(index))


def _seq() -> Column:
    return sa.Column("seq", SEQ, nullable=False)


def _need(name: str, kind: Kind) -> Column:
    return sa.Column(name, kind, nullable=False)


def _may(name: str, kind: Kind) -> Column:
    return sa.Column(name, kind, nullable=True)


def _words(*names: str) -> list[Column]:
    return [_need(name, WORDS) for name in names]


def _to(table: str, column: str, target: str, **more: Any) -> sa.ForeignKeyConstraint:
    return sa.ForeignKeyConstraint([column], [f"{target}.id"], name=f"fk_{table}_{column}", **more)


def _said(name: str, *columns: sa.schema.SchemaItem) -> None:
    """A fact about an athlete."""
    head = (_seq(), _need("athlete", UID))
    _table(name, *head, *columns, _to(name, "athlete", "athlete"), key=["seq"], indexes=[("athlete",)])


def _check(table: str, rule: str, name: str) -> sa.CheckConstraint:
    return sa.CheckConstraint(rule, name=sa.schema.conv(f"ck_{table}_{name}"))


def upgrade() -> None:
    _the_book()
    _people()
    _camps()
    _attempts()
    _imports()
    _findings()


def _the_book() -> None:
    columns = [
        sa.Column("number", INT, nullable=False, autoincrement=False),
        _need("id", UID),
        _need("revision", INT),
    ]
    _table("book", *columns, _check("book", "number = 1", "one_row"), key=["number"])
    _table("setting", _need("key", WORDS), _need("value", DOC), key=["key"])
    columns = [_seq(), *_words("edition"), _need("dated", DAY), *_words("text"), _need("since", UTC)]
    _table("ladder_text", *columns, key=["seq"])


def _people() -> None:
    _table("athlete", _need("id", UID), _need("invented", FLAG), key=["id"])
    _said("birth", _need("born", DAY))
    _said("athlete_name", *_words("given", "family"), _may("since", DAY))
    _said("club_stay", *_words("club", "coach_name", "coach_email"), _may("since", DAY))
    metres = _check("height", "metres > 0.4 AND metres < 2.6", "a_persons")
    _said("height", _need("metres", REAL), _may("on", DAY), metres)
    _said("twist_note", *_words("side", "rung"), _may("on", DAY))
    _said("film_consent", _need("allowed", FLAG), _may("on", DAY), *_words("said_by"))
    _table("person", _need("id", UID), *_words("name", "role"), key=["id"])


def _camps() -> None:
    _table(
        "camp",
        _need("id", UID),
        *_words("name"),
        _need("starts", DAY),
        _need("ends", DAY),
        *_words("edition", "place", "bed", "take_off", "landing"),
        _need("raters", DOC),
        _need("invented", FLAG),
        _may("recorded", UTC),
        _check("camp", "starts <= ends", "starts_first"),
        key=["id"],
        indexes=[("starts",)],
    )
    _table(
        "camp_athlete",
        _need("camp", UID),
        _need("athlete", UID),
        *_words("bib"),
        _to("camp_athlete", "camp", "camp"),
        _to("camp_athlete", "athlete", "athlete"),
        key=["camp", "athlete"],
        indexes=[("athlete",)],
        rowid=False,
    )


def _attempts() -> None:
    _table(
        "attempt",
        _seq(),
        _need("id", UID),
        _need("camp", UID),
        _need("athlete", UID),
        *_words("rung", "outcome"),
        _need("at", UTC),
        *_words("rater", "edition"),
        _may("help", INT),
        _may("take_off", WORDS),
        _may("landing", WORDS),
        _may("rotation", WORDS),
        _need("marks", DOC),
        *_words("note", "device", "source"),
        _may("replaces", UID),
        *_words("digest"),
        sa.UniqueConstraint("id", name="uq_attempt_id"),
        _to("attempt", "camp", "camp"),
        _to("attempt", "athlete", "athlete"),
        _to("attempt", "replaces", "attempt", deferrable=True, initially="DEFERRED"),
        key=["seq"],
        indexes=[("camp", "athlete", "rung"), ("athlete",), ("replaces",)],
    )
    _table(
        "withdrawal",
        _seq(),
        _need("id", UID),
        _need("attempt", UID),
        *_words("by"),
        _need("at", UTC),
        *_words("reason", "digest"),
        sa.UniqueConstraint("id", name="uq_withdrawal_id"),
        _to("withdrawal", "attempt", "attempt"),
        key=["seq"],
        indexes=[("attempt",)],
    )


def _imports() -> None:
    head = [*_words("digest", "name", "kind"), _need("at", UTC)]
    _table("import_file", *head, _need("report", DOC), key=["digest"])
    head = [*_words("digest", "name", "kind"), _need("at", UTC)]
    rest = [_need("data", BLOB), _need("options", DOC), _need("answers", DOC)]
    _table("pending_import", *head, *rest, key=["digest"])


def _findings() -> None:
    _table(
        "standing",
        _need("athlete", UID),
        _need("camp", UID),
        *_words("rung", "state"),
        _need("turns", INT),
        _need("done", INT),
        _may("help", INT),
        _may("take_off", WORDS),
        _may("landing", WORDS),
        _need("raters", DOC),
        *_words("edition"),
        _may("first_at", UTC),
        *_words("why_not_alone"),
        _to("standing", "camp", "camp"),
        _to("standing", "athlete", "athlete"),
        key=["athlete", "camp", "rung"],
        indexes=[("camp",)],
        rowid=False,
    )
    _table(
        "visit",
        _need("athlete", UID),
        _need("camp", UID),
        _to("visit", "athlete", "athlete"),
        _to("visit", "camp", "camp"),
        key=["athlete", "camp"],
        indexes=[("camp",)],
        rowid=False,
    )
    _table(
        "camp_pair",
        _need("camp", UID),
        *_words("rung", "before"),
        _need("alone", INT),
        _need("shown", INT),
        _to("camp_pair", "camp", "camp"),
        key=["camp", "rung", "before"],
        rowid=False,
    )
