"""Work that waits, runs or is over: one table, whoever works on it holds a lease, and a late result is refused.

A worker claims a job for some seconds and renews that with each word of progress. One
that dies stops renewing; after its lease another takes the job up, as the next try.
What an earlier try still brings is not taken (the fence).
"""

from __future__ import annotations

from dataclasses import dataclass, fields
from datetime import datetime, timedelta
from typing import Any
from uuid import UUID

import sqlalchemy as sa

from loftbook.store.batches import insert_all
from loftbook.store.clip_tables import JobState, job

LEASE = timedelta(seconds=30)
MOST_TRIES = 3  # a job that killed so many workers is not given to a fourth


@dataclass(frozen=True)
class Job:
    """One piece of work."""

    id: UUID
    kind: str
    clip: UUID | None
    args: dict[str, Any]
    put: datetime
    by: str
    state: JobState = JobState.WAITING
    tries: int = 0
    lease: datetime | None = None
    worker: str = ""
    share: float = 0.0  # 0 to 1
    says: str = ""
    cancel: bool = False
    ended: datetime | None = None
    error: str = ""


_FIELDS = tuple(field.name for field in fields(Job))
_COLUMNS = tuple(job.c[name] for name in _FIELDS)
_OPEN = (JobState.WAITING, JobState.RUNNING)


def put(connection: sa.Connection, new: Job) -> Job:
    """Puts a job into the queue; one that waits already for the same with the same words is given back instead."""
    same = sa.select(*_COLUMNS).where(
        job.c.kind == new.kind, job.c.clip == new.clip, job.c.state == JobState.WAITING
    )
    for row in connection.execute(same):
        if Job(*row).args == new.args:
            return Job(*row)
    insert_all(connection, job, [{name: getattr(new, name) for name in _FIELDS}])
    return new


def waits(connection: sa.Connection, now: datetime) -> bool:
    """Whether there is anything to claim: a look that writes nothing."""
    return connection.execute(sa.select(job.c.seq).where(_claimable(now)).limit(1)).first() is not None


def claim(connection: sa.Connection, worker: str, now: datetime) -> Job | None:
    """Takes up the oldest job that nobody works on, for the length of a lease; None where there is none.

    One that outlived its tries is closed as failed, one whose cancelling nobody answered as cancelled.
    """
    free = sa.select(*_COLUMNS).where(_claimable(now)).order_by(job.c.seq).limit(1)
    # PostgreSQL: two workers never get the same row. SQLite has one writer at a time.
    free = free.with_for_update(skip_locked=True)
    while (row := connection.execute(free).first()) is not None:
        taken = _taken(connection, Job(*row), worker, now)
        if taken is not None:
            return taken
    return None


def claim_this(connection: sa.Connection, job_id: UUID, worker: str, now: datetime) -> Job | None:
    """Takes up this job, from whoever works on it too: somebody else says that it may be; None where it is over."""
    query = sa.select(*_COLUMNS).where(job.c.id == job_id, job.c.state.in_(_OPEN)).with_for_update()
    row = connection.execute(query).first()
    return None if row is None else _taken(connection, Job(*row), worker, now)


def _taken(connection: sa.Connection, found: Job, worker: str, now: datetime) -> Job | None:
    """The next try of a job; closes one that was cancelled or outlived its tries."""
    if found.cancel:
        _close(connection, found.id, JobState.CANCELLED, now)
        return None
    if found.tries >= MOST_TRIES:
        why = f"It was begun {found.tries} times and never finished."
        _close(connection, found.id, JobState.FAILED, now, error=why)
        return None
    taken = {
        "state": JobState.RUNNING,
        "tries": found.tries + 1,
        "lease": now + LEASE,
        "worker": worker,
        "share": 0.0,
    }
    connection.execute(sa.update(job).where(job.c.id == found.id).values(**taken))
    return Job(**(vars(found) | taken))


def progress(connection: sa.Connection, mine: Job, now: datetime, *, share: float, says: str = "") -> bool:
    """Says how far it is and renews the lease; False when the work is to stop: cancelled, or taken up by another."""
    told = {"share": min(max(share, 0.0), 1.0), "says": says, "lease": now + LEASE}
    query = sa.update(job).where(_mine(mine)).values(**told)
    row = connection.execute(query.returning(job.c.cancel)).first()
    return row is not None and not row.cancel


def still_mine(connection: sa.Connection, mine: Job) -> bool:
    """Whether a result of this try would still be taken; ask in the transaction that writes it."""
    query = (
        sa.select(job.c.seq)
        .where(_mine(mine), job.c.cancel == sa.literal(value=False, type_=job.c.cancel.type))
        .with_for_update()
    )
    return connection.execute(query).first() is not None


def finish(
    connection: sa.Connection, mine: Job, now: datetime, *, error: str = "", cancelled: bool = False
) -> bool:
    """Closes a job as done, failed or cancelled; False for a try that another has overtaken."""
    if connection.execute(sa.select(job.c.seq).where(_mine(mine))).first() is None:
        return False
    state = JobState.CANCELLED if cancelled else JobState.FAILED if error else JobState.DONE
    _close(connection, mine.id, state, now, error=error)
    return True


def cancel(connection: sa.Connection, job_id: UUID, now: datetime) -> JobState | None:
    """Asks for a job to stop: one that waits is closed at once, one that runs at its next word of progress."""
    found = one(connection, job_id)
    if found is None or found.state.is_over:
        return found.state if found else None
    if found.state is JobState.WAITING:
        _close(connection, job_id, JobState.CANCELLED, now)
        return JobState.CANCELLED
    connection.execute(sa.update(job).where(job.c.id == job_id).values(cancel=True))
    return JobState.RUNNING


def one(connection: sa.Connection, job_id: UUID) -> Job | None:
    """The job of that id."""
    row = connection.execute(sa.select(*_COLUMNS).where(job.c.id == job_id)).first()
    return None if row is None else Job(*row)


def jobs(connection: sa.Connection, *, clip: UUID | None = None, only_open: bool = False) -> tuple[Job, ...]:
    """All jobs (of one film), the oldest first."""
    query = sa.select(*_COLUMNS).order_by(job.c.seq)
    if clip is not None:
        query = query.where(job.c.clip == clip)
    if only_open:
        query = query.where(job.c.state.in_(_OPEN))
    return tuple(Job(*row) for row in connection.execute(query))


def _claimable(now: datetime) -> sa.ColumnElement[bool]:
    abandoned = sa.and_(job.c.state == JobState.RUNNING, job.c.lease < now)
    return sa.or_(job.c.state == JobState.WAITING, abandoned)


def _mine(held: Job) -> sa.ColumnElement[bool]:
    return sa.and_(job.c.id == held.id, job.c.tries == held.tries, job.c.state == JobState.RUNNING)


def _close(
    connection: sa.Connection, job_id: UUID, state: JobState, now: datetime, *, error: str = ""
) -> None:
    ended: dict[str, Any] = {"state": state, "ended": now, "lease": None, "error": error}
    if state is JobState.DONE:
        ended["share"] = 1.0
    connection.execute(sa.update(job).where(job.c.id == job_id).values(**ended))


def in_hand(connection: sa.Connection) -> tuple[int, int, datetime | None]:
    """How many jobs wait, how many run, and since when the oldest waits."""
    query = sa.select(job.c.state, sa.func.count(), sa.func.min(job.c.put)).where(job.c.state.in_(_OPEN))
    found = {row[0]: (row[1], row[2]) for row in connection.execute(query.group_by(job.c.state))}
    waiting, oldest = found.get(JobState.WAITING, (0, None))
    return waiting, found.get(JobState.RUNNING, (0, None))[0], oldest
