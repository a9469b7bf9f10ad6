"""Work handed out by Procrastinate on a real PostgreSQL: a worker is killed, and each job is finished once.

Second engine: Procrastinate's own tables say who works on what, the book's table who may finish.
"""

import subprocess
import sys
import time
from contextlib import suppress
from datetime import UTC, datetime, timedelta
from uuid import UUID

import pytest
from tests import engines
from tests.conftest import apart

from loftbook.store import jobs
from loftbook.store.clip_tables import JobState
from loftbook.store.database import open_book
from loftbook.store.procrastinated import Procrastinated

WORKER = """
import sys, time
from datetime import UTC, datetime
from loftbook.store.database import open_book
from loftbook.store.procrastinated import Procrastinated
queue = Procrastinated(open_book(sys.argv[1]))
print(queue.claim("the one that dies", datetime.now(UTC)).id, flush=True)
time.sleep(600)
"""


@apart
def test_a_worker_is_killed_and_each_job_is_finished_once():
    store = engines.the_server().book()
    queue = Procrastinated(store, patience=timedelta(seconds=1))
    now = datetime.now(UTC)
    with store.write() as connection:
        # One waits in the table since before there was Procrastinate.
        jobs.put(connection, jobs.Job(UUID(int=7), "measure", None, {"n": 7}, now, "H. Alder"))
        for number in range(1, 7):
            queue.put(connection, jobs.Job(UUID(int=number), "measure", None, {"n": number}, now, "H. Alder"))
    with suppress(ZeroDivisionError), store.write() as connection:
        queue.put(connection, jobs.Job(UUID(int=99), "measure", None, {"n": 99}, now, "H. Alder"))
        raise ZeroDivisionError  # what was not written is not handed out either
    with subprocess.Popen(
        [sys.executable, "-c", WORKER, store.address], stdout=subprocess.PIPE, text=True
    ) as dying:
        dropped = UUID(dying.stdout.readline().strip())
        dying.kill()
    with store.read() as connection:
        first_try = jobs.one(connection, dropped)
    finished = []
    until = time.monotonic() + 60
    while len(finished) < 7 and time.monotonic() < until:
        mine = queue.claim("the one that lives", datetime.now(UTC))
        if mine is None:
            time.sleep(0.3)
            continue
        assert queue.progress(mine, datetime.now(UTC), share=0.5, says="half")
        assert queue.finish(mine, datetime.now(UTC))
        finished.append(mine.id.int)
    assert sorted(finished) == [1, 2, 3, 4, 5, 6, 7]
    assert not queue.finish(first_try, datetime.now(UTC), error="late"), (
        "the dead one's result comes too late"
    )
    with store.read() as connection:
        done = {one.id: one for one in jobs.jobs(connection)}
    assert {one.state for one in done.values()} == {JobState.DONE}
    assert {number.int: one.tries for number, one in done.items() if one.tries > 1} == {dropped.int: 2}
    assert queue.claim("the one that lives", datetime.now(UTC)) is None
    queue.close()


@apart
def test_a_book_in_a_file_is_told_that_it_cannot(tmp_path):
    store = open_book(tmp_path / "camp.book")
    with pytest.raises(Exception, match="PostgreSQL server only"):
        Procrastinated(store)
    store.close()
