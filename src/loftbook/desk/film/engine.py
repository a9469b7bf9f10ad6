"""The real engine: the film’s own decoder, its pose model and the pure middle of `film`."""

from __future__ import annotations

from pathlib import Path

from loftbook.desk.film.eyes import stock_of
from loftbook.desk.film.port import Cancelled, Click, Engine, Given, Made, Progress
from loftbook.errors import ClipError
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
    from loftbook.film.detect import TwoEyes, detect
    from loftbook.film.own.network import network

    where = None if at is None else (at.x, at.y, at.frame)
    kind, beside = stock_of(model)
    own = network() if beside else None
    if beside and own is None:
        raise ClipError(
            "a film to be looked at by a network that is not beside the program",
            "the one that the wheel carries",
            "measure it again with the stock model alone",
        )
    eyes = kind if own is None else TwoEyes(kind, own)
    return detect(path, clip, at=where, model=eyes, progress=progress, cancelled=cancelled)


def _measure(clip: Clip, track: Track, given: Given) -> Made:
    from loftbook.desk.film.made import made_of

    return made_of(clip, track, given)


#: What a book and the command line use.
REAL = Engine(read=_read, track=_track, measure=_measure, proxy=_proxy)
