"""Jobs: done once, taken up again after a death, and a late result of a dead try is refused."""

from datetime import UTC, datetime, timedelta
from uuid import UUID

import pytest

from loftbook.store import jobs
from loftbook.store.clip_tables import JobState

pytestmark = pytest.mark.both_engines

NOW = datetime(2026, 4, 11, 15, tzinfo=UTC)
LATE = NOW + jobs.LEASE + timedelta(seconds=1)


def a_job(number: int = 1, **more) -> jobs.Job:
    return jobs.Job(
        UUID(int=number), "measure", None, more.pop("args", {"n": number}), NOW, "H. Alder", **more
    )


def test_jobs_are_taken_in_the_order_in_which_they_came(book):
    with book.write() as connection:
        for number in (1, 2):
            jobs.put(connection, a_job(number))
        assert [jobs.claim(connection, "w", NOW).id.int for _ in range(2)] == [1, 2]
        assert jobs.claim(connection, "w", NOW) is None
        assert not jobs.waits(connection, NOW)
        assert jobs.waits(connection, LATE), "both workers were not heard of"


def test_the_same_job_twice_waits_once(book):
    with book.write() as connection:
        first = jobs.put(connection, a_job(1))
        assert jobs.put(connection, a_job(2, args=first.args)) == first
        assert jobs.put(connection, a_job(3)).id.int == 3
        assert len(jobs.jobs(connection)) == 2


def test_a_dead_worker_loses_its_job_and_what_it_brings_later_is_refused(book):
    with book.write() as connection:
        jobs.put(connection, a_job())
        dead = jobs.claim(connection, "dead", NOW)
        assert jobs.progress(connection, dead, NOW, share=0.4, says="half way")
        taken_up = jobs.claim(connection, "alive", LATE)
        assert (taken_up.id, taken_up.tries, taken_up.share) == (dead.id, 2, 0.0)
        assert not jobs.progress(connection, dead, LATE, share=0.9)
        assert not jobs.still_mine(connection, dead)
        assert not jobs.finish(connection, dead, LATE)
        assert jobs.still_mine(connection, taken_up)
        assert jobs.finish(connection, taken_up, LATE)
        assert jobs.one(connection, dead.id).state is JobState.DONE


def test_a_word_of_progress_renews_the_lease(book):
    later = NOW + jobs.LEASE - timedelta(seconds=1)
    with book.write() as connection:
        jobs.put(connection, a_job())
        mine = jobs.claim(connection, "w", NOW)
        assert jobs.progress(connection, mine, later, share=2.0, says="tracking")
        assert not jobs.waits(connection, LATE)
        now = jobs.one(connection, mine.id)
        assert (now.share, now.says) == (1.0, "tracking"), "a share is never more than the whole"


def test_a_job_that_waits_is_cancelled_at_once_and_one_that_runs_at_its_next_word(book):
    with book.write() as connection:
        for number in (1, 2):
            jobs.put(connection, a_job(number))
        mine = jobs.claim(connection, "w", NOW)
        assert jobs.cancel(connection, UUID(int=2), NOW) is JobState.CANCELLED
        assert jobs.cancel(connection, mine.id, NOW) is JobState.RUNNING
        assert not jobs.progress(connection, mine, NOW, share=0.5), "it is told to stop"
        assert not jobs.still_mine(connection, mine)
        assert jobs.finish(connection, mine, NOW, cancelled=True)
        assert {job.state for job in jobs.jobs(connection)} == {JobState.CANCELLED}
        assert jobs.cancel(connection, UUID(int=9), NOW) is None


def test_a_job_that_was_to_stop_when_its_worker_died_is_not_taken_up(book):
    with book.write() as connection:
        jobs.put(connection, a_job())
        mine = jobs.claim(connection, "w", NOW)
        jobs.cancel(connection, mine.id, NOW)
        assert jobs.claim(connection, "other", LATE) is None
        assert jobs.one(connection, mine.id).state is JobState.CANCELLED


def test_a_job_that_kills_its_workers_is_given_up_with_a_sentence(book):
    with book.write() as connection:
        jobs.put(connection, a_job())
        for n in range(jobs.MOST_TRIES):
            assert jobs.claim(connection, "w", NOW + n * (LATE - NOW)).tries == n + 1
        assert jobs.claim(connection, "w", NOW + 9 * (LATE - NOW)) is None
        end = jobs.one(connection, a_job().id)
    assert end.state is JobState.FAILED
    assert "never finished" in end.error


def test_progress_leaves_the_books_revision_alone(book):
    """Pages are kept until the revision changes; a bar that moves must not make them all anew."""
    with book.write() as connection:
        jobs.put(connection, a_job())
    before = book.revision()
    with book.note() as connection:
        mine = jobs.claim(connection, "w", NOW)
    with book.note() as connection:
        jobs.progress(connection, mine, NOW, share=0.5)
    assert book.revision() == before
    with book.read() as connection:
        assert jobs.one(connection, mine.id).share == 0.5
