"""How work is handed out, as a port: the book's own table, and beside it whoever tells workers that something waits.

The table keeps what a job is, how far it is and who may finish it, on any database and under any
queue. A queue decides who takes up what, and when a worker counts as dead.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from typing import Protocol

from loftbook.store import jobs
from loftbook.store.database import Connection, Store
from loftbook.store.jobs import Job


class JobQueue(Protocol):
    """Hands out work so that each job is finished once, whoever dies in between."""

    def put(self, connection: Connection, new: Job) -> Job:
        """Puts a job into the queue, in the transaction of whoever makes it."""
        ...

    def claim(self, worker: str, now: datetime) -> Job | None:
        """Takes up one job; None where none waits."""
        ...

    def progress(self, mine: Job, now: datetime, *, share: float, says: str = "") -> bool:
        """Says how far it is; False when the work is to stop."""
        ...

    def finish(self, mine: Job, now: datetime, *, error: str = "", cancelled: bool = False) -> bool:
        """Closes a job; False for a try that another has overtaken."""
        ...


@dataclass(frozen=True)
class OwnTable:
    """The book's own table and nothing else: a worker looks into it from time to time."""

    store: Store

    def put(self, connection: Connection, new: Job) -> Job:
        """See `JobQueue`."""
        return jobs.put(connection, new)

    def claim(self, worker: str, now: datetime) -> Job | None:
        """See `JobQueue`; a look that finds nothing writes nothing."""
        with self.store.read() as connection:
            if not jobs.waits(connection, now):
                return None
        with self.store.write() as connection:
            return jobs.claim(connection, worker, now)

    def progress(self, mine: Job, now: datetime, *, share: float, says: str = "") -> bool:
        """See `JobQueue`; the book's revision stays as it is."""
        with self.store.note() as connection:
            return jobs.progress(connection, mine, now, share=share, says=says)

    def finish(self, mine: Job, now: datetime, *, error: str = "", cancelled: bool = False) -> bool:
        """See `JobQueue`."""
        with self.store.write() as connection:
            return jobs.finish(connection, mine, now, error=error, cancelled=cancelled)
