"""Put a film with an attempt, where consent is recorded; delete it when its day is over or somebody asks."""

from __future__ import annotations

import os
from dataclasses import dataclass, replace
from datetime import date, datetime, timedelta
from pathlib import Path, PurePath
from typing import BinaryIO
from uuid import UUID

from loftbook.book.attempts import Attempt
from loftbook.book.consent import Purpose, Word
from loftbook.book.films import FilmedTurn, FilmGone, Said
from loftbook.book.identity import uuid7
from loftbook.book.people import Athlete
from loftbook.desk import Desk
from loftbook.desk.film.answers import FilmLine, films_of_turns
from loftbook.desk.film.consenting import must_be_allowed, words_on_filming
from loftbook.desk.film.engine import REAL
from loftbook.desk.film.eyes import chosen_model
from loftbook.desk.film.places import clip_files, delete_files, take_in
from loftbook.desk.film.port import Click, Engine
from loftbook.desk.film.queue import queue_of
from loftbook.errors import ClipError, Refused, UnknownThing
from loftbook.film.clip import Clip
from loftbook.store import attempts, clips, jobs, people
from loftbook.store.database import Connection

# How long a film is kept where nobody said a day, and where keeping was refused. Common practice, no source:
# long enough to lie beside the next camp half a year later; long enough to be measured.
KEEP, KEEP_REFUSED = timedelta(days=365), timedelta(days=7)
MEASURE = "measure a film"


@dataclass(frozen=True)
class Sent:
    """A film as it comes in: its bytes, its own name, who puts it there, and what they say about it."""

    source: BinaryIO | None  # None: `attach_file` opens it
    name: str
    by: str
    station: str = ""
    at: Click | None = None
    model: str = "heavy"
    keep_until: date | None = None
    eyes: str = ""  # stock, both, or nothing: what the network's file says


@dataclass(frozen=True)
class Attached:
    """A film that is with an attempt, and the work on it."""

    clip: FilmedTurn
    job: jobs.Job | None
    there_already: bool = False


def attach(desk: Desk, attempt_id: UUID, sent: Sent, *, engine: Engine = REAL) -> Attached:
    """Keeps a film untouched beside the book, with the attempt it shows, and queues its measuring.

    Raises Refused where no consent to filming is recorded, and ClipError for what is no
    film; nothing is kept then. The same film of the same attempt twice is kept once.
    """
    model = chosen_model(sent.model, sent.eyes)
    _, athlete, words = turn_of(desk, attempt_id)
    allowed = must_be_allowed(words[Purpose.FILMING], athlete)
    now = desk.clock()
    clip_id = uuid7(now, seed=os.urandom(16))
    files = clip_files(desk, clip_id)
    name = PurePath(sent.name.replace("\\", "/")).name[:200].replace("\x00", "") or "a film"
    assert sent.source is not None
    digest, size = take_in(files, sent.source, name)
    try:
        clip = engine.read(files.original)
        files.kept()
        film = FilmedTurn(
            id=clip_id,
            attempt=attempt_id,
            digest=digest,
            name=name,
            size=size,
            attached=now,
            by=sent.by.strip()[:200],
            station=" ".join(sent.station.split())[:60],
            consent=allowed.consent,
            consent_words=allowed.rests_on,
            keep_until=_keep_until(words[Purpose.KEEPING], sent.keep_until, now),
            invented=athlete.invented,
        )
        kept = _kept(desk, film, replace(sent, model=model), clip)
    except BaseException:
        delete_files(desk, clip_id)
        raise
    if kept.there_already:
        delete_files(desk, clip_id)
    return kept


def attach_file(desk: Desk, attempt_id: UUID, file: Path, sent: Sent, *, engine: Engine = REAL) -> Attached:
    """The same for a file that lies on this machine."""
    try:
        with file.open("rb") as source:
            return attach(desk, attempt_id, replace(sent, source=source), engine=engine)
    except OSError as error:
        why = "it is a folder" if file.is_dir() else error.strerror
        raise ClipError(f"no film that can be read at {file} ({why})", "a film", "check the name") from error


def turn_of(desk: Desk, attempt_id: UUID) -> tuple[Attempt, Athlete, dict[Purpose, Word | None]]:
    """An attempt that counts, whose it is, and what was said about filming her."""
    with desk.store.read() as connection:
        now = clips.correction_of(connection, [attempt_id])[attempt_id]
        known = attempts.attempts_by_id(connection, [attempt_id if now is None else now])
        if not known:
            raise UnknownThing(
                f"no attempt with the id {attempt_id}", "one of the book’s", "choose it on her page"
            )
        if now is None:
            raise Refused("an attempt that was taken back", "one that counts", "choose another on her page")
        athlete = people.athlete(connection, known[now].athlete)
        return known[now], athlete, words_on_filming(connection, athlete, desk.clock().date())


@dataclass(frozen=True)
class TurnPage:
    """What the page for putting a film with a turn shows."""

    turn: Attempt
    athlete: Athlete
    rung_name: str
    words: dict[Purpose, Word | None]
    may: bool
    films: tuple[FilmLine, ...]
    stations: tuple[str, ...]  # camera places that were named before


def turn_page(desk: Desk, attempt_id: UUID) -> TurnPage:
    """A turn, what was said about filming her, and the films there are."""
    turn, athlete, words = turn_of(desk, attempt_id)
    with desk.store.read() as connection:
        films = films_of_turns(desk, connection, [turn.id]).get(turn.id)
        stations = {film.station for film in clips.clips(connection) if film.station}
    rung = next((rung.name for rung in desk.ladder.rungs if rung.key == turn.rung), turn.rung)
    allowed = words[Purpose.FILMING]
    return TurnPage(
        turn=turn,
        athlete=athlete,
        rung_name=rung,
        words=words,
        may=allowed is not None and allowed.allowed,
        films=films.lines if films else (),
        stations=tuple(sorted(stations)),
    )


def _keep_until(word: Word | None, wanted: date | None, now: datetime) -> date:
    today = now.date()
    if wanted is not None and wanted < today:
        raise Refused(f"a film kept until {wanted.isoformat()}, which is over", "a day to come", "choose one")
    longest = today + KEEP
    if word is not None:
        longest = (word.until or longest) if word.allowed else today + KEEP_REFUSED
    return min(wanted or longest, longest)


def _kept(desk: Desk, film: FilmedTurn, sent: Sent, clip: Clip) -> Attached:
    with desk.store.write() as connection:
        for earlier in clips.clips(connection, [film.attempt]):
            if earlier.digest == film.digest:
                work = jobs.jobs(connection, clip=earlier.id)
                return Attached(earlier, work[-1] if work else None, there_already=True)
        clips.add_clip(connection, film)
        clips.say(connection, Said(film.id, "file", _found(clip), "Loftbook", film.attached))
        if sent.at is not None:
            clips.say(connection, Said(film.id, "at", dict(vars(sent.at)), film.by, film.attached))
        return Attached(film, queue_measuring(desk, connection, film.id, by=film.by, model=sent.model))


def _found(clip: Clip) -> dict[str, object]:
    """What the decoder found, for pages that need no decoder."""
    found = {name: getattr(clip, name) for name in ("width", "height", "codec", "turned", "frames", "rate")}
    return found | {"length": float(clip.times[-1]), "notes": list(clip.notes)}


def queue_measuring(desk: Desk, connection: Connection, clip: UUID, *, by: str, model: str) -> jobs.Job:
    """Puts the measuring of a clip into the queue, inside a write."""
    now = desk.clock()
    work = jobs.Job(uuid7(now, seed=os.urandom(16)), MEASURE, clip, {"model": model}, now, by)
    return queue_of(desk).put(connection, work)


def measure_clip_again(
    desk: Desk, clip: UUID, *, by: str, model: str = "heavy", at: Click | None = None
) -> jobs.Job:
    """Queues the tracking of a clip anew, with another model or from another click."""
    model = chosen_model(model)
    with desk.store.write() as connection:
        clips.clip(connection, clip)
        if at is not None:
            clips.say(connection, Said(clip, "at", dict(vars(at)), by, desk.clock()))
        return queue_measuring(desk, connection, clip, by=by, model=model)


def cancel_job(desk: Desk, job_id: UUID) -> None:
    """Asks for the work on a film to stop; what was measured before stays."""
    with desk.store.write() as connection:
        if jobs.cancel(connection, job_id, desk.clock()) is None:
            raise UnknownThing("no work of that number", "one in the list of films", "look there again")


def cancel_work_on(desk: Desk, clip: UUID) -> None:
    """Asks for all open work on a film to stop."""
    with desk.store.write() as connection:
        clips.clip(connection, clip)
        for work in jobs.jobs(connection, clip=clip, only_open=True):
            jobs.cancel(connection, work.id, desk.clock())


def delete_film(desk: Desk, clip: UUID, *, by: str, why: str) -> FilmGone:
    """Deletes a film with every file and every finding; one line stays, that there was one."""
    with desk.store.write() as connection:
        film = clips.clip(connection, clip)
        end = FilmGone(clip, film.attempt, desk.clock(), by, why)
        delete_files(desk, clip)
        clips.forget_clip(connection, end)
    desk.store.tidy()
    return end


def delete_what_is_over(desk: Desk) -> tuple[FilmGone, ...]:
    """Deletes the films whose last day has passed."""
    today = desk.clock().date()
    with desk.store.read() as connection:
        over = [film for film in clips.clips(connection) if film.keep_until < today]
    return tuple(
        delete_film(desk, film.id, by="Loftbook", why=f"its last day was {film.keep_until.isoformat()}")
        for film in over
    )
