"""What the pages of films show: the list, one film with its readings and what is missing, the films of a turn."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import dataclass, field
from typing import Any
from uuid import UUID

import numpy as np

from loftbook.book.attempts import Attempt
from loftbook.book.consent import Purpose, Word
from loftbook.book.films import FilmedTurn, FilmFacts, FilmGone, points_in_force
from loftbook.book.people import Athlete, Camp
from loftbook.desk import Desk
from loftbook.desk.film.consenting import words_on_filming
from loftbook.desk.film.engine import REAL
from loftbook.desk.film.measuring import empty_track, kept_track
from loftbook.desk.film.places import clip_files, keeps_films
from loftbook.desk.film.port import Engine
from loftbook.desk.film.wording import headline
from loftbook.errors import Refused
from loftbook.film.reading import Reading
from loftbook.film.track import JOINTS, Track
from loftbook.ladder.rungs import Rung
from loftbook.store import attempts, camps, clips, jobs, people, readings
from loftbook.store.database import Connection


@dataclass(frozen=True)
class FilmLine:
    """A film in a list: whose turn, on which rung, how far the work is, what was measured."""

    film: FilmedTurn
    turn: Attempt | None  # None: it was taken back
    athlete: Athlete | None
    camp: Camp | None
    rung: Rung | None
    job: jobs.Job | None
    measured: readings.FilmMeasured | None
    withheld: str = ""  # why it is not shown: the yes to filming was taken back

    @property
    def headline(self) -> str:
        """Its first readings in one line; empty where there is none, or it is not shown."""
        return headline(self.measured.readings) if self.measured and not self.withheld else ""

    def reading(self, name: str) -> Reading | None:
        """One of its readings."""
        found = self.measured.readings if self.measured else ()
        return next((one for one in found if one.name == name), None)


@dataclass(frozen=True)
class FilmAnswer:
    """The page of one film."""

    line: FilmLine
    facts: FilmFacts
    file: Mapping[str, Any]  # what the decoder found
    words: Mapping[Purpose, Word | None]
    by_hand: int  # joints that were put by hand
    missing: tuple[str, ...]
    others: tuple[FilmLine, ...]  # her other films, for laying beside
    has_proxy: bool  # whether the copy for the browser is made
    invented: bool


@dataclass(frozen=True)
class FilmsAnswer:
    """The page of all films."""

    lines: tuple[FilmLine, ...]  # the newest first
    invented: bool


@dataclass(frozen=True)
class TurnFilms:
    """The films of one turn."""

    lines: tuple[FilmLine, ...] = ()
    gone: tuple[FilmGone, ...] = ()


def films_answer(desk: Desk) -> FilmsAnswer:
    """Every film of the book."""
    with desk.store.read() as connection:
        lines = tuple(reversed(lines_of(desk, connection, clips.clips(connection))))
    return FilmsAnswer(lines, any(line.film.invented for line in lines))


def film_answer(desk: Desk, clip: UUID) -> FilmAnswer:
    """One film: what was seen, what was measured with its reasons, what is missing."""
    with desk.store.read() as connection:
        facts = clips.facts(connection, clip)
        line = lines_of(desk, connection, [facts.clip])[0]
        words = _words(desk, connection, line.athlete)
        others = _others(desk, connection, line)
    points = points_in_force(facts.points)
    return FilmAnswer(
        line=line,
        facts=facts,
        file=facts.said.get("file", {}),
        words=words,
        by_hand=len(points),
        missing=_missing(line, facts),
        others=others,
        has_proxy=keeps_films(desk) and clip_files(desk, clip).proxy.exists(),
        invented=facts.clip.invented,
    )


def must_be_shown(desk: Desk, clip: UUID) -> FilmLine:
    """A film that may be shown; raises Refused for one whose yes was taken back."""
    line = film_answer(desk, clip).line
    if line.withheld:
        raise Refused(line.withheld)
    return line


def films_of_turns(desk: Desk, connection: Connection, turns: Collection[UUID]) -> dict[UUID, TurnFilms]:
    """The films of these turns, also those that were put with a turn before it was corrected."""
    every = clips.clips(connection, clips.versions_of(connection, turns))
    now = clips.correction_of(connection, {film.attempt for film in every})
    hers = [film for film in every if now[film.attempt] in set(turns)]
    found: dict[UUID, list[FilmLine]] = {}
    for line in lines_of(desk, connection, hers):
        if line.turn is not None:
            found.setdefault(line.turn.id, []).append(line)
    over: dict[UUID, list[FilmGone]] = {}
    for end in clips.gone(connection, turns):
        over.setdefault(end.attempt, []).append(end)
    return {
        turn: TurnFilms(tuple(found.get(turn, ())), tuple(over.get(turn, ()))) for turn in {*found, *over}
    }


def films_of_athlete(desk: Desk, athlete_id: UUID) -> Mapping[UUID, TurnFilms]:
    """The films of one gymnast’s turns, by turn."""
    with desk.store.read() as connection:
        hers = {turn.id for turn in attempts.attempts_of_athlete(connection, athlete_id)}
        return films_of_turns(desk, connection, hers) if hers else {}


def lines_of(desk: Desk, connection: Connection, films: Collection[FilmedTurn]) -> tuple[FilmLine, ...]:
    """Films with whose turn each is now, how far the work is, and what was measured."""
    now = clips.correction_of(connection, {film.attempt for film in films})
    turns = attempts.attempts_by_id(connection, [turn for turn in now.values() if turn])
    who = {a.id: a for a in people.athletes(connection, {turn.athlete for turn in turns.values()})}
    where = {c.id: c for c in camps.camps(connection, {turn.camp for turn in turns.values()})}
    rungs = {rung.key: rung for rung in desk.ladder.rungs}
    work = {job.clip: job for job in jobs.jobs(connection)}
    found = readings.measured(connection, [film.id for film in films])
    lines = []
    for film in films:
        turn = turns.get(now[film.attempt]) if now[film.attempt] else None  # type: ignore[arg-type]
        athlete = who.get(turn.athlete) if turn else None
        lines.append(
            FilmLine(
                film=film,
                turn=turn,
                athlete=athlete,
                camp=where.get(turn.camp) if turn else None,
                rung=rungs.get(turn.rung) if turn else None,
                job=work.get(film.id),
                measured=found.get(film.id),
                withheld=_withheld(_words(desk, connection, athlete).get(Purpose.FILMING)),
            )
        )
    return tuple(lines)


def _words(desk: Desk, connection: Connection, athlete: Athlete | None) -> Mapping[Purpose, Word | None]:
    return {} if athlete is None else words_on_filming(connection, athlete, desk.clock().date())


def _withheld(word: Word | None) -> str:
    if word is None or word.allowed:
        return ""
    return f"The last word is {word.rests_on}. The film is not shown. Delete it, or write a new word down."


def _others(desk: Desk, connection: Connection, line: FilmLine) -> tuple[FilmLine, ...]:
    if line.athlete is None:
        return ()
    hers = {turn.id for turn in attempts.attempts_of_athlete(connection, line.athlete.id)}
    found = films_of_turns(desk, connection, hers)
    every = [other for films in found.values() for other in films.lines if other.film.id != line.film.id]
    return tuple(
        sorted(every, key=lambda other: (other.turn.at if other.turn else other.film.attached, other.film.id))
    )


def _missing(line: FilmLine, facts: FilmFacts) -> tuple[str, ...]:
    """What this film does not tell, and what somebody could add."""
    gaps = []
    if facts.bed is None:
        gaps.append(
            "No line of the bed is drawn for this camera place; contact times rest on the fall alone."
        )
    if line.athlete is not None and line.athlete.height is None:
        gaps.append("Her standing height is not written; the scale has no second witness.")
    found = line.measured.readings if line.measured else ()
    return (*gaps, *(f"{one.name}: {one.verdict.sentence}" for one in found if one.value is None))


@dataclass(frozen=True, eq=False)
class TrackAnswer:
    """A track for drawing over the film: lists in the order of `joints`, None where nothing is known."""

    joints: tuple[str, ...]
    frames: list[int]
    times_s: list[float]
    points: list[list[list[float] | None]]
    origin: list[list[int]]
    apart: list[float | None]
    width: int
    height: int
    detector: str
    clip_times_s: list[float] = field(default_factory=list)  # of every frame of the film, tracked or not


def track_answer(desk: Desk, clip: UUID, *, engine: Engine = REAL) -> TrackAnswer:
    """Where the joints are, with what was put by hand, and when each frame of the film was shown."""
    from loftbook.desk.film.made import with_points

    with desk.store.read() as connection:
        facts = clips.facts(connection, clip)
    film = engine.read(clip_files(desk, clip).original)
    track = kept_track(desk, facts) or empty_track(film)
    points = [
        (p.frame, p.joint, p.x, p.y)
        for p in points_in_force(facts.points)
        if p.x is not None and p.y is not None
    ]
    return _told(with_points(track, tuple(points)), [float(t) for t in film.times])


def _told(track: Track, times: list[float]) -> TrackAnswer:
    rounded = np.round(track.points, 2)
    return TrackAnswer(
        joints=JOINTS,
        frames=[int(n) for n in track.frames],
        times_s=[float(t) for t in track.times],
        points=[
            [[float(x), float(y)] if np.isfinite(x) and np.isfinite(y) else None for x, y in row]
            for row in rounded
        ],
        origin=[[int(o) for o in row] for row in track.origin],
        apart=[float(a) if np.isfinite(a) else None for a in track.apart],
        width=track.width,
        height=track.height,
        detector=track.detector,
        clip_times_s=times,
    )
