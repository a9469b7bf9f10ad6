"""What devices sent: which records became facts, and which were set aside for the head coach."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass, fields
from datetime import datetime
from typing import Any
from uuid import UUID

import sqlalchemy as sa

from loftbook.book.attempts import Attempt
from loftbook.store.attempts import attempts_of_camp
from loftbook.store.batches import batched, insert_all
from loftbook.store.schema import attempt, received, set_aside, withdrawal


@dataclass(frozen=True)
class Received:
    """A record that became a fact: how it was sent, by which clock, and when it came in."""

    id: UUID
    kind: str
    digest: str
    device: UUID | None
    said_at: datetime
    at: datetime
    clock: str
    way: str


@dataclass(frozen=True)
class SetAside:
    """A record that could not become a fact, as it was sent, with the reason."""

    seq: int
    id: UUID | None
    verdict: str
    why: str
    record: Any
    at: datetime
    way: str
    device: UUID | None
    athlete: UUID | None = None
    camp: UUID | None = None
    settled: datetime | None = None
    settled_by: str = ""
    settled_how: str = ""


def digests(connection: sa.Connection, ids: Collection[UUID]) -> dict[UUID, str]:
    """Of these ids the digests of the records that became facts."""
    found: dict[UUID, str] = {}
    for some in batched(ids):
        rows = connection.execute(sa.select(received.c.id, received.c.digest).where(received.c.id.in_(some)))
        found |= {row.id: row.digest for row in rows}
    return found


def received_of(connection: sa.Connection, ids: Collection[UUID]) -> tuple[Received, ...]:
    """How the facts of these ids came in; those that no device sent are left out."""
    columns = [received.c[field.name] for field in fields(Received)]
    found: list[Received] = []
    for some in batched(ids):
        query = sa.select(*columns).where(received.c.id.in_(some)).order_by(received.c.seq)
        found += [Received(*row) for row in connection.execute(query)]
    return tuple(found)


def add_received(connection: sa.Connection, new: Iterable[Received]) -> None:
    """Notes which records became facts."""
    insert_all(connection, received, [dict(vars(one)) for one in new])


def facts_of_device(connection: sa.Connection, device: UUID, camp: UUID) -> tuple[Attempt, ...]:
    """The attempts in force at a camp that came from one device, oldest first."""
    query = sa.select(received.c.id).where(received.c.device == device, received.c.kind == "attempt")
    mine = set(connection.scalars(query))
    return tuple(a for a in attempts_of_camp(connection, camp) if a.id in mine)


def marked_by(connection: sa.Connection, device: UUID, *, camp: UUID, athlete: UUID, rung: str) -> bool:
    """Whether a mark of that device on this rung of hers is in the book."""
    a = attempt.c
    query = sa.select(a.id).join(received, received.c.id == a.id)
    query = query.where(received.c.device == device, a.camp == camp, a.athlete == athlete, a.rung == rung)
    return connection.execute(query.limit(1)).first() is not None


def put_aside(connection: sa.Connection, rows: Iterable[Mapping[str, Any]]) -> None:
    """Keeps records that cannot become facts; the same content is kept once."""
    new = {row["digest"]: dict(row) for row in rows}
    have = aside_known(connection, new)
    blank = {"settled": None, "settled_by": "", "settled_how": ""}
    insert_all(connection, set_aside, [row | blank for key, row in new.items() if key not in have])


def aside_known(connection: sa.Connection, digests: Collection[str]) -> set[str]:
    """Which of these contents were set aside already, dealt with or not."""
    have: set[str] = set()
    for some in batched(digests):
        have |= set(connection.scalars(sa.select(set_aside.c.digest).where(set_aside.c.digest.in_(some))))
    return have


def aside_rows(connection: sa.Connection) -> tuple[dict[str, Any], ...]:
    """What waits for the head coach, as rows that `put_aside` takes."""
    s = set_aside.c
    names = ("digest", "id", "athlete", "camp", "verdict", "why", "record", "device", "at", "way")
    query = sa.select(*(s[name] for name in names)).where(s.settled.is_(None)).order_by(s.seq)
    return tuple(dict(row._mapping) for row in connection.execute(query))


def aside(
    connection: sa.Connection, camp: UUID | None = None, *, open_only: bool = True
) -> tuple[SetAside, ...]:
    """What was set aside (for a camp, or without one) and not yet dealt with, oldest first."""
    s = set_aside.c
    query = sa.select(*(s[field.name] for field in fields(SetAside)))
    if camp is not None:
        query = query.where((s.camp == camp) | s.camp.is_(None))
    if open_only:
        query = query.where(s.settled.is_(None))
    return tuple(SetAside(*row) for row in connection.execute(query.order_by(s.seq)))


def settle_aside(connection: sa.Connection, seq: int, *, at: datetime, by: str, how: str) -> bool:
    """Notes how the head coach dealt with a record that was set aside; it stays readable."""
    s = set_aside.c
    query = sa.update(set_aside).where(s.seq == seq, s.settled.is_(None))
    done = query.values(settled=at, settled_by=by, settled_how=how).returning(s.seq)
    return connection.execute(done).first() is not None


def accepted_later(connection: sa.Connection, ids: Collection[UUID], at: datetime) -> None:
    """Closes what was set aside as refused and has since become a fact under the same id."""
    s = set_aside.c
    for some in batched(ids):
        query = sa.update(set_aside).where(s.id.in_(some), s.verdict == "refused", s.settled.is_(None))
        connection.execute(
            query.values(settled=at, settled_by="", settled_how="came again and is in the book")
        )


def forget(connection: sa.Connection, athlete: UUID) -> Mapping[str, int]:
    """Takes one child's records out of what devices sent, for good; returns how many."""
    hers = sa.select(attempt.c.id).where(attempt.c.athlete == athlete)
    back = sa.select(withdrawal.c.id).where(withdrawal.c.attempt.in_(hers))
    r, s = received.c, set_aside.c
    went = {"set_aside": connection.execute(sa.delete(set_aside).where(s.athlete == athlete)).rowcount}
    query = sa.delete(received).where(r.id.in_(hers) | r.id.in_(back))
    went["received"] = connection.execute(query).rowcount
    return went
