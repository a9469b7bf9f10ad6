"""Work handed out by Procrastinate, for a book on a PostgreSQL server with several workers.

Procrastinate says who takes up which job and which worker is dead; it holds the number of a job
and nothing else. What the job is, how far it is and who may finish it stays in the book's own
table, so pages, erasure and the refusal of late results are the same as on a laptop.
"""

from __future__ import annotations

import asyncio
from collections.abc import Coroutine
from contextlib import suppress
from datetime import UTC, datetime, timedelta
from typing import TYPE_CHECKING, Any, TypeVar
from uuid import UUID

from loftbook.errors import BookFileError
from loftbook.store import jobs
from loftbook.store.database import Connection, Store
from loftbook.store.jobs import Job

if TYPE_CHECKING:
    from procrastinate import PsycopgConnector

QUEUE, TASK = "loftbook", "loftbook.work"
_T = TypeVar("_T")


class Procrastinated:
    """A `JobQueue` of Procrastinate's tables in the book's own database.

    `patience` is how long nothing may be heard of a worker before its job goes to another. Any thread
    may put; claiming, progress and finishing belong to one thread.
    """

    def __init__(self, store: Store, *, patience: timedelta = jobs.LEASE) -> None:
        if store.address is None:
            raise BookFileError(
                "Procrastinate hands out work on a PostgreSQL server only",
                todo="name the server's address, or leave LOFTBOOK_JOBS empty",
            )
        try:
            from procrastinate import PsycopgConnector, SyncPsycopgConnector
            from procrastinate.manager import JobManager
        except ModuleNotFoundError as error:
            raise BookFileError(
                "Handing out work by Procrastinate needs its package",
                todo='install it with: pip install "loftbook[federation]"',
            ) from error
        self._store, self._patience = store, patience
        address = store.engine.url.set(drivername="postgresql").render_as_string(hide_password=False)
        self._runner: asyncio.Runner | None = None
        self._connector = PsycopgConnector(conninfo=address, min_size=1, max_size=2)
        self._manager = JobManager(self._connector)
        self._putting = JobManager(SyncPsycopgConnector(conninfo=address))
        self._held: dict[UUID, Any] = {}
        self._worker: int | None = None
        asyncio.run(_tables(PsycopgConnector(conninfo=address, min_size=1, max_size=1)))

    def put(self, connection: Connection, new: Job) -> Job:
        """See `JobQueue`: the table's line and the word to the workers are kept together or not at all."""
        kept = jobs.put(connection, new)
        if kept.id == new.id:
            self._putting.defer_job(_told(new.id), connection=connection.connection.driver_connection)
        return kept

    def claim(self, worker: str, now: datetime) -> Job | None:
        """See `JobQueue`."""
        if self._worker is None:
            self._runner = asyncio.Runner()
            self._worker = self._wait(self._begin())
            self._take_over_what_waits()
        self._wait(self._take_from_the_dead(self._worker))
        while (told := self._wait(self._manager.fetch_job([QUEUE], self._worker))) is not None:
            number = UUID(str(told.task_kwargs["job"]))
            with self._store.write() as connection:
                mine = jobs.claim_this(connection, number, worker, now)
            if mine is not None:
                self._held[mine.id] = told
                return mine
            self._over(told, failed=False)  # cancelled, erased, or tried too often
        return None

    def progress(self, mine: Job, now: datetime, *, share: float, says: str = "") -> bool:
        """See `JobQueue`; also tells Procrastinate that this worker lives."""
        if self._worker is not None:
            self._wait(self._manager.update_heartbeat(self._worker))
        with self._store.note() as connection:
            return jobs.progress(connection, mine, now, share=share, says=says)

    def finish(self, mine: Job, now: datetime, *, error: str = "", cancelled: bool = False) -> bool:
        """See `JobQueue`: the table decides whether this try still may."""
        with self._store.write() as connection:
            may = jobs.finish(connection, mine, now, error=error, cancelled=cancelled)
        told = self._held.pop(mine.id, None)
        if may and told is not None:
            self._over(told, failed=bool(error))
        return may

    def close(self) -> None:
        """Gives the connections back."""
        if self._worker is not None and self._runner is not None:
            self._wait(self._manager.unregister_worker(self._worker))
            self._wait(self._connector.close_async())
            self._runner.close()
            self._worker = self._runner = None

    async def _begin(self) -> int:
        await self._connector.open_async()
        return await self._manager.register_worker()

    async def _take_from_the_dead(self, worker: int) -> None:
        await self._manager.update_heartbeat(worker)
        silent = self._patience.total_seconds()
        for told in await self._manager.get_stalled_jobs(queue=QUEUE, seconds_since_heartbeat=silent):
            await self._manager.retry_job(told, retry_at=datetime.now(UTC))

    def _take_over_what_waits(self) -> None:
        """Hands out what waits in the table since before Procrastinate was asked for."""
        from procrastinate.exceptions import AlreadyEnqueued

        with self._store.read() as connection:
            waiting = [one.id for one in jobs.jobs(connection, only_open=True)]
        told = self._wait(self._manager.list_jobs_async(queue=QUEUE))
        known = {one.task_kwargs["job"] for one in told}
        for number in waiting:
            if str(number) not in known:
                with suppress(AlreadyEnqueued):  # another worker was quicker
                    self._wait(self._manager.defer_job_async(_told(number)))

    def _over(self, told: Any, *, failed: bool) -> None:
        from procrastinate.jobs import Status

        status = Status.FAILED if failed else Status.SUCCEEDED
        self._wait(self._manager.finish_job(told, status, delete_job=True))

    def _wait(self, work: Coroutine[Any, Any, _T]) -> _T:
        assert self._runner is not None
        return self._runner.run(work)


def _told(number: UUID) -> Any:
    """What Procrastinate is told of a job: its number; the same one waits once."""
    from procrastinate.jobs import Job as Told

    return Told(
        queue=QUEUE,
        lock=None,
        queueing_lock=str(number),
        task_name=TASK,
        task_kwargs={"job": str(number)},
    )


async def _tables(connector: PsycopgConnector) -> None:
    """Makes Procrastinate's tables where they are not there yet."""
    from procrastinate.manager import JobManager
    from procrastinate.schema import SchemaManager

    await connector.open_async()
    try:
        if not await JobManager(connector).check_connection_async():
            await SchemaManager(connector).apply_schema_async()
    finally:
        await connector.close_async()
