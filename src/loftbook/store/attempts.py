"""What was seen: attempts and withdrawals, added once and never changed."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, fields
from datetime import UTC, datetime
from enum import Enum
from typing import Any
from uuid import UUID

import sqlalchemy as sa

from loftbook.book.attempts import Attempt, Withdrawal
from loftbook.store import schema
from loftbook.store.batches import batched, insert_all


class Verdict(Enum):
    """What became of a record that was sent; the sender may forget it in each case but the last."""

    STORED = "stored"
    DUPLICATE = "duplicate"  # the book had exactly this already
    CONFLICT = "conflict"  # the book has this id with another content; nothing was overwritten
    REFUSED = "refused"  # it names something that the book does not have


@dataclass(frozen=True)
class Receipt:
    """The book's answer to one record."""

    id: UUID
    verdict: Verdict
    why: str = ""


def add_attempts(connection: sa.Connection, attempts: Iterable[Attempt]) -> tuple[Receipt, ...]:
    """Writes each attempt once, and answers for each, in the order given.

    Sending the same attempt again changes nothing. One record that cannot stand loses
    no other.
    """
    rows = tuple(attempts)
    ids = {row.id for row in rows}
    camps = _known(connection, schema.camp, {row.camp for row in rows})
    people = _known(connection, schema.athlete, {row.athlete for row in rows})
    earlier = _known(connection, schema.attempt, {row.replaces for row in rows if row.replaces})

    def why_not(row: Attempt) -> str:
        if row.camp not in camps:
            return f"the camp {row.camp} is not in the book; add the camp first"
        if row.athlete not in people:
            return f"the gymnast {row.athlete} is not in the book; add her first"
        if row.replaces == row.id:
            return "it says that it replaces itself; make a new id for a correction"
        if row.replaces is not None and row.replaces not in earlier and row.replaces not in ids:
            return f"the attempt {row.replaces} that it replaces is not in the book; send that first"
        return ""

    refused = {row.id: reason for row in rows if (reason := why_not(row))}
    while lost := {
        r.id for r in rows if r.replaces in refused and r.id not in refused and r.replaces not in earlier
    }:
        refused |= dict.fromkeys(lost, "the attempt that it replaces was refused")
    return _add(connection, schema.attempt, rows, refused)


def add_withdrawals(connection: sa.Connection, withdrawals: Iterable[Withdrawal]) -> tuple[Receipt, ...]:
    """Writes each withdrawal once, and answers for each, as `add_attempts` does."""
    rows = tuple(withdrawals)
    known = _known(connection, schema.attempt, {row.attempt for row in rows})
    lost = "the attempt that it withdraws is not in the book; send that first"
    refused = {row.id: lost for row in rows if row.attempt not in known}
    return _add(connection, schema.withdrawal, rows, refused)


def add_new(
    connection: sa.Connection, attempts: Iterable[Attempt], withdrawals: Iterable[Withdrawal] = ()
) -> None:
    """Writes what the caller has found, in this same transaction, to be new and to name only what the book has.

    Were that wrong, the tables themselves would refuse it: then nothing at all is written.
    """
    insert_all(connection, schema.attempt, [row_of(one) for one in attempts])
    insert_all(connection, schema.withdrawal, [row_of(one) for one in withdrawals])


def attempts_of_camp(
    connection: sa.Connection,
    camp: UUID,
    athletes: Collection[UUID] | None = None,
    *,
    all: bool = False,  # noqa: A002 (it reads as it should)
) -> tuple[Attempt, ...]:
    """The attempts of a camp that are in force (all that were ever written, if `all`), oldest first."""
    a = schema.attempt.c
    if athletes is None:
        return _attempts(connection, a.camp == camp, ever=all)
    found: list[Attempt] = []
    for some in batched(athletes):
        found += _attempts(connection, a.camp == camp, a.athlete.in_(some), ever=all)
    return tuple(sorted(found, key=lambda attempt: (attempt.at, attempt.id)))


def attempts_of_athlete(
    connection: sa.Connection,
    athlete: UUID,
    *,
    all: bool = False,  # noqa: A002 (it reads as it should)
) -> tuple[Attempt, ...]:
    """One gymnast's attempts that are in force (all that were ever written, if `all`), oldest first."""
    return _attempts(connection, schema.attempt.c.athlete == athlete, ever=all)


def attempts_marked_again(connection: sa.Connection) -> tuple[Attempt, ...]:
    """The attempts in force of each turn that has a second mark, the first mark among them, oldest first."""
    a, keys = schema.attempt.c, ("camp", "athlete", "rung", "turn")
    # The few that were marked again come first; `true` is a word of the statement, so that their own index serves.
    again = sa.select(*(a[name] for name in keys)).where(a.second == sa.true()).distinct().subquery()
    same = [again.c[name] == a[name] for name in keys]
    return _attempts(connection, *same, ever=False)


def attempts_by_id(connection: sa.Connection, ids: Collection[UUID]) -> dict[UUID, Attempt]:
    """The attempts of these ids, in force or not; unknown ids are left out."""
    found: dict[UUID, Attempt] = {}
    for some in batched(ids):
        for attempt in _attempts(connection, schema.attempt.c.id.in_(some), ever=True):
            found[attempt.id] = attempt
    return found


def roots_of(connection: sa.Connection, attempts: Iterable[Attempt]) -> dict[UUID, UUID]:
    """For each of these that corrects another: which attempt it goes back to over all corrections."""
    up = {a.id: a.replaces for a in attempts if a.replaces is not None}
    roots, table = dict(up), schema.attempt.c
    todo = set(up.values())
    above: dict[UUID, UUID | None] = {}
    while todo := todo - above.keys():
        for some in batched(tuple(todo)):
            rows = connection.execute(sa.select(table.id, table.replaces).where(table.id.in_(some)))
            above |= {row.id: row.replaces for row in rows}
        above |= dict.fromkeys(todo - above.keys())
        todo = {higher for higher in above.values() if higher is not None}
    for low, root in tuple(roots.items()):
        top = root
        while (higher := above.get(top)) is not None:
            top = higher
        roots[low] = top
    return roots


def withdrawals_of(connection: sa.Connection, attempts: Collection[UUID]) -> tuple[Withdrawal, ...]:
    """The withdrawals of these attempts, oldest first."""
    w = schema.withdrawal
    found: list[Withdrawal] = []
    for some in batched(attempts):
        rows = connection.execute(sa.select(w).where(w.c.attempt.in_(some)))
        found += [Withdrawal(row.id, row.attempt, row.by, row.at, row.reason) for row in rows]
    return tuple(sorted(found, key=lambda one: (one.at, one.id)))


def withdrawal_ids(connection: sa.Connection, ids: Collection[UUID]) -> set[UUID]:
    """Which of these ids are withdrawals of the book."""
    return _known(connection, schema.withdrawal, ids)


def _in_force() -> sa.ColumnElement[bool]:
    """The condition that an attempt counts: nobody replaced or withdrew it.

    The same rule as `loftbook.book.attempts.in_force`, which says it for values.
    """
    later = schema.attempt.alias("later")
    replaced = sa.exists().where(later.c.replaces == schema.attempt.c.id)
    withdrawn = sa.exists().where(schema.withdrawal.c.attempt == schema.attempt.c.id)
    return sa.not_(replaced) & sa.not_(withdrawn)


def digest_of(record: Attempt | Withdrawal) -> str:
    """A fingerprint of all that a record says, for telling a repeat from a conflict.

    What was not written down is left out, so that a later Loftbook, which may ask for
    more, still knows the same record again.
    """
    said = {name: value for name, value in vars(record).items() if value not in (None, "", {}, False)}
    return hashlib.sha256(_FINGERPRINT.encode(said).encode()).hexdigest()[:32]


def row_of(record: Attempt | Withdrawal) -> dict[str, Any]:
    """A record as the table keeps it."""
    row = vars(record) | {"digest": digest_of(record)}
    if isinstance(record, Attempt):
        row["marks"] = dict(record.marks)
    return row


def _plain(value: Any) -> Any:
    """What JSON does not know, as it knows it; the rest is refused later, by its column."""
    if isinstance(value, Enum):
        return value.value
    if isinstance(value, datetime):
        return value.astimezone(UTC).isoformat()
    return dict(value) if isinstance(value, Mapping) else str(value)


_FINGERPRINT = json.JSONEncoder(sort_keys=True, default=_plain)


def _known(connection: sa.Connection, table: sa.Table, ids: Collection[UUID]) -> set[UUID]:
    found: set[UUID] = set()
    for some in batched(ids):
        found |= set(connection.scalars(sa.select(table.c.id).where(table.c.id.in_(some))))
    return found


def _add(
    connection: sa.Connection,
    table: sa.Table,
    records: Sequence[Attempt | Withdrawal],
    refused: dict[UUID, str],
) -> tuple[Receipt, ...]:
    have: dict[UUID, str] = {}
    for some in batched([record.id for record in records]):
        found = connection.execute(sa.select(table.c.id, table.c.digest).where(table.c.id.in_(some)))
        have |= {row.id: row.digest for row in found}
    receipts, rows = [], []
    for record in records:
        row = row_of(record)
        if record.id in have:
            same = have[record.id] == row["digest"]
            why = "" if same else "the book has this id with another content; send a correction with a new id"
            receipts.append(Receipt(record.id, Verdict.DUPLICATE if same else Verdict.CONFLICT, why))
        elif record.id in refused:
            receipts.append(Receipt(record.id, Verdict.REFUSED, refused[record.id]))
        else:
            have[record.id] = row["digest"]
            rows.append(row)
            receipts.append(Receipt(record.id, Verdict.STORED))
    insert_all(connection, table, rows)
    return tuple(receipts)


_COLUMNS: list[sa.ColumnElement[Any]] = [
    schema.attempt.c[field.name]
    if field.name != "second"
    else sa.func.coalesce(
        schema.attempt.c.second, sa.literal(value=False, type_=schema.attempt.c.second.type)
    )
    for field in fields(Attempt)
]


def _attempts(connection: sa.Connection, *which: sa.ColumnElement[bool], ever: bool) -> tuple[Attempt, ...]:
    query = sa.select(*_COLUMNS).where(*which).order_by(schema.attempt.c.at, schema.attempt.c.id)
    rows: Iterator[Any] = iter(connection.execute(query if ever else query.where(_in_force())))
    return tuple(Attempt(*row) for row in rows)
