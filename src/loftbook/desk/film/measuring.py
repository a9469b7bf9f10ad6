"""Measure a file without any book; and for the book, make a clip's findings, and make them all again, from facts."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from uuid import UUID

from loftbook.book.films import FilmFacts, TrackMade, points_in_force
from loftbook.book.people import Athlete
from loftbook.desk import Desk
from loftbook.desk.film.engine import REAL
from loftbook.desk.film.eyes import stock_of
from loftbook.desk.film.places import clip_files
from loftbook.desk.film.port import Click, Engine, Given, Made, Progress
from loftbook.errors import ClipError, LoftbookError, RangeError
from loftbook.film.clip import Clip
from loftbook.film.track import Track
from loftbook.film.track_file import track_from_bytes
from loftbook.store import attempts, clips, people, readings
from loftbook.store.database import Connection

SHORTEST, TALLEST = 0.8, 2.3  # m: whoever flies a double


@dataclass(frozen=True, eq=False)
class FileMeasured:
    """One film file, what was tracked in it and what was made of that."""

    clip: Clip
    track: Track
    made: Made


def measure_file(
    path: Path,
    *,
    at: Click | None = None,
    model: str = "heavy",
    given: Given | None = None,
    progress: Progress = lambda _: None,
    engine: Engine = REAL,
) -> FileMeasured:
    """Measures a film where it lies; no book is needed, made or opened.

    `model` is as `desk.film.eyes.chosen_model` gives it; `progress` hears of shares from 0 to 1.
    """
    stock_of(model)
    given = given or Given()
    _plausible(given.stature)
    clip = engine.read(path)
    _inside(at, clip)
    track = engine.track(path, clip, at, model, lambda share: progress(0.98 * share), _never)
    made = engine.measure(clip, track, given)
    progress(1.0)
    return FileMeasured(clip, made.track or track, made)


def _never() -> bool:
    return False


def _plausible(stature: float | None) -> None:
    if stature is not None and not SHORTEST <= stature <= TALLEST:
        raise RangeError(f"a stature of {stature:g} m", f"{SHORTEST} to {TALLEST} m", "give metres: 1.43")


def _inside(at: Click | None, clip: Clip) -> None:
    if at is None:
        return
    if not (0 <= at.x < clip.width and 0 <= at.y < clip.height and 0 <= at.frame < clip.frames):
        raise RangeError(
            f"a click at {at.x:g}, {at.y:g} in frame {at.frame}",
            f"a place in a picture of {clip.width} by {clip.height} pixels, and a frame from 0 to {clip.frames - 1}",
            "point at the athlete’s hips in a frame where she stands or flies open",
        )


def remeasure(desk: Desk, *, engine: Engine = REAL) -> dict[UUID, str]:
    """Drops every finding from film and makes all again from the facts and the tracks; the same, bit for bit.

    Returns for each clip what became of it: "measured", "no track yet", or why it could not be done.
    """
    with desk.store.write() as connection:
        readings.drop_measured(connection)
        films = clips.clips(connection)
    return {film.id: _measured_again(desk, film.id, engine) for film in films}


def _measured_again(desk: Desk, clip: UUID, engine: Engine) -> str:
    try:
        return "measured" if measure_clip(desk, clip, engine=engine) else "no track yet"
    except LoftbookError as error:
        return error.sentence()


def measure_clip(desk: Desk, clip: UUID, *, engine: Engine = REAL) -> bool:
    """Makes the findings of one clip from its facts; False where it has no track and no points yet.

    The book is not held up meanwhile. What somebody says in that time is measured again.
    """
    while True:
        with desk.store.read() as connection:
            facts = clips.facts(connection, clip)
            athlete = athlete_of(connection, facts)
        if facts.track is None and not points_in_force(facts.points):
            return False
        made = made_from(desk, facts, athlete, engine=engine)
        with desk.store.write() as connection:
            if clips.facts(connection, clip) == facts:
                readings.keep_measured(connection, _finding(facts, made))
                return True


def _finding(facts: FilmFacts, made: Made) -> readings.FilmMeasured:
    return readings.FilmMeasured(
        clip=facts.clip.id,
        track=facts.track.id if facts.track else None,
        verdict=made.verdict,
        reasons=made.reasons,
        recipe=made.recipe,
        told=made.told,
        readings=made.readings,
    )


def made_from(desk: Desk, facts: FilmFacts, athlete: Athlete | None, *, engine: Engine = REAL) -> Made:
    """What a clip's facts and its track give, with the time course; nothing is written."""
    files = clip_files(desk, facts.clip.id)
    clip = engine.read(files.original)
    if clip.digest != facts.clip.digest:
        raise ClipError(
            f"another film in the place of {facts.clip.name}",
            "the file that was put there",
            "restore the folder of films that lies beside the book",
        )
    track = kept_track(desk, facts) or empty_track(clip)
    return engine.measure(clip, track, given_of(facts, clip, athlete))


def kept_track(desk: Desk, facts: FilmFacts) -> Track | None:
    """The track that lies beside a clip."""
    made: TrackMade | None = facts.track
    if made is None:
        return None
    try:
        data = clip_files(desk, facts.clip.id).brought(made.file).read_bytes()
    except OSError as error:
        raise ClipError(
            f"no track beside {facts.clip.name} ({error.strerror})", "the file", "measure the film again"
        ) from error
    return track_from_bytes(data)


def empty_track(clip: Clip) -> Track:
    """A track of a whole clip in which nothing is known yet: what clicks by hand begin with."""
    import numpy as np

    from loftbook.film.track import JOINTS, MISSING

    n, k = clip.frames, len(JOINTS)
    unknown = np.full((n, k), np.nan)
    return Track(
        times=clip.times,
        frames=np.arange(n),
        points=np.full((n, k, 2), np.nan),
        spread=unknown,
        origin=np.full((n, k), MISSING),
        apart=np.full(n, np.nan),
        width=clip.width,
        height=clip.height,
        detector="by hand",
    )


def athlete_of(connection: Connection, facts: FilmFacts) -> Athlete | None:
    """Whose turn a clip shows now, over all corrections; None where the turn was taken back."""
    now = clips.correction_of(connection, [facts.clip.attempt])[facts.clip.attempt]
    if now is None:
        return None
    turn = attempts.attempts_by_id(connection, [now])[now]
    return people.athlete(connection, turn.athlete)


def given_of(facts: FilmFacts, clip: Clip, athlete: Athlete | None) -> Given:
    """What people said, as the engine wants it."""
    points = points_in_force(facts.points)
    return Given(
        stature=athlete.height.metres if athlete and athlete.height else None,
        bed=facts.bed.scaled(clip.width, clip.height) if facts.bed else None,
        speed=facts.said.get("speed"),
        flight=facts.said.get("flight"),
        points=tuple((p.frame, p.joint, p.x, p.y) for p in points if p.x is not None and p.y is not None),
    )
