"""The real engine: the film’s own decoder, its pose model and the pure middle of `film`."""

from __future__ import annotations

from pathlib import Path
from typing import Literal, cast

from loftbook.desk.film.port import Cancelled, Click, Engine, Given, Made, Progress
from loftbook.film.clip import Clip
from loftbook.film.track import Track


def _read(path: Path) -> Clip:
    from loftbook.film.decode import read_clip

    return read_clip(path)


def _proxy(path: Path, clip: Clip, out: Path, progress: Progress) -> None:
    from loftbook.film.encode import write_proxy

    write_proxy(path, out, clip=clip, progress=progress)


def _track(
    path: Path, clip: Clip, at: Click | None, model: str, progress: Progress, cancelled: Cancelled
) -> Track:
    from loftbook.film.detect import detect

    where = None if at is None else (at.x, at.y, at.frame)
    kind = cast(Literal["heavy", "full", "lite"], model)  # whoever asks has looked it up in MODELS
    return detect(path, clip, at=where, model=kind, progress=progress, cancelled=cancelled)


def _measure(clip: Clip, track: Track, given: Given) -> Made:
    from loftbook.desk.film.made import made_of

    return made_of(clip, track, given)


#: What a book and the command line use.
REAL = Engine(read=_read, track=_track, measure=_measure, proxy=_proxy)
