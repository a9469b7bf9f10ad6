"""What opens, tracks and measures a film, as a port: tests put another engine in the place of the real one."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from loftbook.film.clip import Clip
from loftbook.film.exports.table import TimeCourse
from loftbook.film.reading import Reading
from loftbook.film.track import Track
from loftbook.mechanics.flight import Verdict

Progress = Callable[[float], None]
Cancelled = Callable[[], bool]
MODELS = (
    "heavy",
    "full",
    "lite",
)  # with "+own" behind it where our own network looks as well: see `desk.film.eyes`


@dataclass(frozen=True)
class Click:
    """Where somebody pointed at the athlete. Units: px of the upright picture; frame: number in the clip."""

    x: float
    y: float
    frame: int


@dataclass(frozen=True)
class Given:
    """What people said about a clip, beside what its pictures show.

    Units
        stature : m; bed : x1, y1, x2, y2 in px of the upright picture; speed : how many times slower than life the
        file plays; flight : which of its flights is meant, from 0; points : frame, joint, x px, y px, put by hand
    """

    stature: float | None = None
    bed: tuple[float, float, float, float] | None = None
    speed: float | None = None
    flight: int | None = None
    points: tuple[tuple[int, str, float, float], ...] = ()


@dataclass(frozen=True, eq=False)
class Made:
    """What was made of a track: the verdict, the readings, and what pages and files show besides.

    `told` holds only what JSON can hold. `course` is None where the clip gave no scale.
    """

    verdict: Verdict
    reasons: tuple[str, ...]
    readings: tuple[Reading, ...]
    recipe: str
    told: dict[str, Any] = field(default_factory=dict)
    course: TimeCourse | None = None
    track: Track | None = None  # with what was put by hand worked in


@dataclass(frozen=True)
class Engine:
    """The four things that are done with a film."""

    read: Callable[[Path], Clip]
    track: Callable[[Path, Clip, Click | None, str, Progress, Cancelled], Track]
    measure: Callable[[Clip, Track, Given], Made]
    proxy: Callable[[Path, Clip, Path, Progress], None]


def named(readings: Sequence[Reading], name: str) -> Reading | None:
    """The reading of that name."""
    return next((one for one in readings if one.name == name), None)
