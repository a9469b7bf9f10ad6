"""The worker is a process of its own: killed in the middle of its work, the work is done once all the same."""

import os
import signal
import time
from dataclasses import replace

from tests.desk.film import cast

from loftbook.desk.film.answers import film_answer
from loftbook.desk.film.places import clip_files
from loftbook.desk.film.working import job_of, work_all, worker_beside
from loftbook.desk.opening import utc_now
from loftbook.store import jobs
from loftbook.store.clip_tables import JobState


def test_a_worker_that_is_killed_loses_nothing(hall):
    kept = hall.send()
    with worker_beside(hall.desk, engine=cast.FOR_EVER) as process:
        end = time.monotonic() + 120  # a machine under load takes its time to start a process
        while job_of(hall.desk, kept.clip.id).says != "following the athlete":
            assert time.monotonic() < end
            assert process.is_alive()
            time.sleep(0.1)
        os.kill(process.pid, signal.SIGKILL)
    left = job_of(hall.desk, kept.clip.id)
    assert (left.state, left.tries, left.share > 0) == (JobState.RUNNING, 1, True)
    assert work_all(replace(hall.desk, clock=utc_now), engine=cast.ENGINE) == (), "its lease is not over yet"
    later = replace(hall.desk, clock=lambda: utc_now() + jobs.LEASE)
    assert [(job.state, job.tries) for job in work_all(later, engine=cast.ENGINE)] == [(JobState.DONE, 2)]
    assert film_answer(hall.desk, kept.clip.id).line.measured is not None
    assert len(list(clip_files(hall.desk, kept.clip.id).folder.glob("track-*"))) == 1


def test_a_book_in_memory_has_no_worker():
    from tests.desk import cast as desk_cast

    desk = desk_cast.a_desk()
    with worker_beside(desk) as process:
        assert process is None
    desk.store.close()
