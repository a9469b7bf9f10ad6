"""The jobs on films, one after another: in a process of its own beside the server, or here and now."""

from __future__ import annotations

import hashlib
import multiprocessing
import os
import socket
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from dataclasses import replace
from multiprocessing.context import SpawnProcess
from pathlib import Path
from uuid import UUID

from loftbook.book.films import TrackMade
from loftbook.desk import Desk
from loftbook.desk.entry import new_id
from loftbook.desk.film.answers import FilmLine, film_answer
from loftbook.desk.film.engine import REAL
from loftbook.desk.film.measuring import measure_clip
from loftbook.desk.film.places import ClipFiles, clip_files, keeps_films
from loftbook.desk.film.port import Cancelled, Click, Engine, Progress
from loftbook.desk.film.queue import queue_of
from loftbook.desk.privacy.daily import daily_round
from loftbook.errors import LoftbookError
from loftbook.film.clip import Clip
from loftbook.film.track import Track
from loftbook.film.track_file import track_to_bytes
from loftbook.store import clips, jobs

PAUSE = 0.5  # s between two looks for work
TOLD_EVERY = 0.7  # s between two words of progress: a bar that moves, and a lease that is renewed
EXPIRES_EVERY = 3600.0  # s between two looks for what is over and for whether a backup is due
PROXY_SHARE = 0.08  # of the whole work


class Stopped(Exception):
    """The work was cancelled, or another worker has taken it up."""


def work_one(desk: Desk, *, worker: str = "", engine: Engine = REAL) -> jobs.Job | None:
    """Takes up one job and does it; None where none waits. Whatever goes wrong with it is its own sentence."""
    queue = queue_of(desk)
    mine = queue.claim(worker or _this_worker(), desk.clock())
    if mine is None:
        return None
    error, cancelled = "", False
    try:
        _measure(desk, mine, engine)
    except Stopped:
        cancelled = True
    except LoftbookError as trouble:
        error = trouble.sentence()
    except Exception as trouble:
        error = f"A fault in Loftbook ({type(trouble).__name__}: {trouble}). The film is untouched; measure it by hand."
    queue.finish(mine, desk.clock(), error=error, cancelled=cancelled)
    with desk.store.read() as connection:
        return jobs.one(connection, mine.id)


def work_all(desk: Desk, *, engine: Engine = REAL) -> tuple[jobs.Job, ...]:
    """Does everything that waits, here and now."""
    done = []
    while (job := work_one(desk, engine=engine)) is not None:
        done.append(job)
    return tuple(done)


def work_on(
    desk: Desk,
    clip: UUID,
    *,
    now: bool = True,
    progress: Callable[[float], None] = lambda _: None,
    engine: Engine = REAL,
) -> FilmLine:
    """Does the work that waits, this film's included, and answers how it stands; with `now` False only answers."""

    def track(path: Path, film: Clip, at: Click | None, model: str, told: Progress, stop: Cancelled) -> Track:
        def both(share: float) -> None:
            progress(share)
            told(share)

        return engine.track(path, film, at, model, both, stop)

    if now:
        work_all(desk, engine=replace(engine, track=track))
    return film_answer(desk, clip).line


@contextmanager
def worker_beside(desk: Desk, *, engine: Engine = REAL) -> Iterator[SpawnProcess | None]:
    """A process that works on films as long as the block lasts; None for a book that keeps no films."""
    if not keeps_films(desk):
        yield None
        return
    context = multiprocessing.get_context("spawn")
    process = context.Process(
        target=_work,
        args=(str(desk.store.path or desk.store.address), engine),
        daemon=True,
        name="loftbook-films",
    )
    process.start()
    try:
        yield process
    finally:
        process.terminate()
        process.join(10)


def _work(book: str, engine: Engine) -> None:
    """What the process beside the server does until that ends."""
    from loftbook.desk.opening import open_desk

    parent = multiprocessing.parent_process()
    desk = open_desk(book, create=False, any_ladder=True)
    last_look = -EXPIRES_EVERY
    while parent is None or parent.is_alive():
        worked = None
        with suppress(LoftbookError):  # a book that is in use for a moment: look again
            if time.monotonic() - last_look > EXPIRES_EVERY:
                last_look = time.monotonic()
                daily_round(desk)
            worked = work_one(desk, engine=engine)
        if worked is None:
            time.sleep(PAUSE)


def _this_worker() -> str:
    return f"{socket.gethostname()} {os.getpid()}"


def _measure(desk: Desk, mine: jobs.Job, engine: Engine) -> None:
    """Proxy, track and findings of one film; Stopped where somebody asked for that."""
    assert mine.clip is not None
    files = clip_files(desk, mine.clip)
    with desk.store.read() as connection:
        facts = clips.facts(connection, mine.clip)
    told = _Teller(desk, mine)
    clip = engine.read(files.original)
    if not files.proxy.exists():
        told("making a copy for the browser", 0.0)
        engine.proxy(
            files.original, clip, files.proxy, told.within("making a copy for the browser", 0.0, PROXY_SHARE)
        )
    at = Click(**facts.said["at"]) if "at" in facts.said else None
    following = told.within("following the athlete", PROXY_SHARE, 0.97)
    track = engine.track(
        files.original, clip, at, str(mine.args.get("model", "heavy")), following, told.is_stopped
    )
    told("measuring", 0.97)
    _keep(desk, mine, files, track)
    measure_clip(desk, mine.clip, engine=engine)


def _keep(desk: Desk, mine: jobs.Job, files: ClipFiles, track: Track) -> None:
    """The track beside the clip and its line in the book, all or nothing, and only if the job is still ours."""
    assert mine.clip is not None
    data = track_to_bytes(track)
    made = TrackMade(
        id=new_id(desk),
        clip=mine.clip,
        by_hand=False,
        detector=track.detector,
        file=f"track-{mine.id}-{mine.tries}.npz",
        digest=hashlib.sha256(data).hexdigest(),
        settings=dict(mine.args),
        at=desk.clock(),
        by=mine.by,
    )
    target = files.named(made.file)
    target.write_bytes(data)
    files.kept()
    with desk.store.write() as connection:
        still = jobs.still_mine(connection, mine)
        free = clips.add_track(connection, made) if still else (made.file,)
    for name in free:
        files.named(name).unlink(missing_ok=True)
        if files.shelf is not None:
            files.shelf.forget(mine.clip, name)
    if not still:
        raise Stopped


class _Teller:
    """Says how far the work is, now and then, and hears whether it is to stop."""

    def __init__(self, desk: Desk, mine: jobs.Job) -> None:
        self._desk, self._mine = desk, mine
        self._last, self._stopped = 0.0, False

    def __call__(self, says: str, share: float) -> None:
        """Tell at once."""
        self._last = time.monotonic()
        going = queue_of(self._desk).progress(self._mine, self._desk.clock(), share=share, says=says)
        if not going:
            self._stopped = True
            raise Stopped

    def within(self, says: str, start: float, end: float) -> Callable[[float], None]:
        """A progress that goes from one share of the whole to another."""

        def progress(share: float) -> None:
            if time.monotonic() - self._last >= TOLD_EVERY:
                self(says, start + share * (end - start))

        return progress

    def is_stopped(self) -> bool:
        """Whether somebody asked the work to stop."""
        return self._stopped


def job_of(desk: Desk, clip: UUID) -> jobs.Job | None:
    """The last work on a film."""
    with desk.store.read() as connection:
        found = jobs.jobs(connection, clip=clip)
    return found[-1] if found else None
