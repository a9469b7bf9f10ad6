"""Pictures of a kept film: with the skeleton as MP4, a strip of stills as PNG or PDF. Made when asked, then kept."""

from __future__ import annotations

from pathlib import Path
from uuid import UUID

import numpy as np

from loftbook.book.films import FilmFacts
from loftbook.desk import Desk
from loftbook.desk.film.answers import film_answer
from loftbook.desk.film.curves import curves_of, label_of
from loftbook.desk.film.engine import REAL
from loftbook.desk.film.measuring import athlete_of, given_of, kept_track
from loftbook.desk.film.places import clip_files
from loftbook.desk.film.port import Engine
from loftbook.desk.film.wording import reading_rows, trust_words
from loftbook.errors import ClipError, Refused
from loftbook.film.clip import Clip
from loftbook.film.track import Track
from loftbook.store import clips, readings

STILLS = 9  # pictures in a strip: at even times from take-off to landing


def overlay_file(desk: Desk, clip: UUID, *, engine: Engine = REAL) -> Path:
    """The stretch that was tracked as MP4 with the skeleton on it."""
    from loftbook.film.encode import write_overlay

    facts, film, track = _tracked(desk, clip, engine)
    out = clip_files(desk, clip).named(f"overlay-{_state(facts)}.mp4")
    if not out.exists():
        write_overlay(clip_files(desk, clip).original, out, clip=film, track=track)
    return out


def strip_file(desk: Desk, clip: UUID, *, engine: Engine = REAL) -> Path:
    """Stills from take-off to landing, side by side, as PNG."""
    from loftbook.film.encode import write_strip

    facts, _, track = _tracked(desk, clip, engine)
    out = clip_files(desk, clip).named(f"strip-{_state(facts)}.png")
    if not out.exists():
        numbers = _stills(desk, clip, track)
        write_strip(clip_files(desk, clip).original, out, track=track, numbers=numbers)
    return out


def strip_sheet(desk: Desk, clip: UUID, *, engine: Engine = REAL) -> Path:
    """The same on paper as PDF, with curves and readings; no child’s name stands on it."""
    from loftbook.reports.charts.film_curves import film_curves
    from loftbook.reports.pdf import write_pdf
    from loftbook.reports.sheets.film_strip.compose import StripFacts, compose

    picture = strip_file(desk, clip, engine=engine)
    line = film_answer(desk, clip).line
    found = line.measured
    curves = curves_of(found, label_of(line))
    facts = StripFacts(
        png=picture.read_bytes(),
        title=label_of(line),
        verdict=f"{trust_words(found.verdict).capitalize()}. {found.verdict.sentence}" if found else "",
        readings=[
            (row.name, row.value) for row in reading_rows(found.readings if found else ()) if row.number
        ],
        curves=film_curves([curves]) if curves else None,
        invented=line.film.invented,
    )
    out = picture.with_suffix(".pdf")
    out.write_bytes(write_pdf(compose(facts)))
    return out


def picture_file(desk: Desk, clip: UUID, form: str, *, engine: Engine = REAL) -> Path:
    """`mp4`: the film with the skeleton; `png`: the strip of stills; `pdf`: the strip on paper."""
    made = PICTURES.get(form)
    if made is None:
        raise Refused(
            f"a picture of the kind {form!r}", "mp4, png or pdf", "end the file’s name in one of them"
        )
    return made(desk, clip, engine=engine)


def _tracked(desk: Desk, clip: UUID, engine: Engine) -> tuple[FilmFacts, Clip, Track]:
    from loftbook.desk.film.made import with_points

    with desk.store.read() as connection:
        facts = clips.facts(connection, clip)
        athlete = athlete_of(connection, facts)
    film = engine.read(clip_files(desk, clip).original)
    track = kept_track(desk, facts)
    if track is None:
        raise ClipError("a film that was not measured yet", "one with a track", "wait for its measuring")
    return facts, film, with_points(track, given_of(facts, film, athlete).points)


def _state(facts: FilmFacts) -> str:
    """Changes when the track or a point does, so that an old picture is never shown for a new one."""
    track = facts.track.digest[:12] if facts.track else "none"
    return f"{track}-{len(facts.points)}"


def _stills(desk: Desk, clip: UUID, track: Track) -> list[int]:
    with desk.store.read() as connection:
        found = readings.measured(connection, [clip]).get(clip)
    told = found.told if found else {}
    chosen = told.get("chosen_flight")
    start, end = float(track.times[0]), float(track.times[-1])
    if chosen is not None:
        flight = told["flights"][chosen - 1]
        speed = float(told.get("speed") or 1.0)
        ends = (flight["takes_off_s"], flight["lands_s"])
        start, end = (
            fallback if t is None else t * speed for t, fallback in zip(ends, (start, end), strict=True)
        )
    wanted = np.linspace(start, end, STILLS)
    nearest = [int(np.argmin(np.abs(track.times - t))) for t in wanted]
    return sorted({int(track.frames[n]) for n in nearest})


#: What can be drawn, by the ending of the file's name.
PICTURES = {"mp4": overlay_file, "png": strip_file, "pdf": strip_sheet}
