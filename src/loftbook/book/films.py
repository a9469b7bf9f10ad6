"""Films of attempts as the book knows them: which file, whose turn, until when; and what people said about each.

A clip, a click, a corrected point, a bed line and a confirmed speed are facts. What is
measured from them is a finding and can be made again.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field
from datetime import date, datetime
from typing import Any
from uuid import UUID


@dataclass(frozen=True)
class FilmedTurn:
    """A fact: a film was put with an attempt, with what consent, and how long it is kept.

    The attempt may have been corrected since; whoever reads follows the corrections.
    """

    id: UUID
    attempt: UUID
    digest: str  # sha256 of the untouched file, in hex
    name: str  # the file's own name
    size: int  # bytes
    attached: datetime
    by: str
    station: str  # which camera place; a bed line is drawn once for each
    consent: UUID | None  # the recorded consent; None: the roster's word
    consent_words: str
    keep_until: date
    made: datetime | None = None  # when it was filmed, where the file says so
    invented: bool = False


@dataclass(frozen=True)
class FilmGone:
    """A fact: a film was deleted, for what reason. Nothing else of it is kept."""

    clip: UUID
    attempt: UUID
    at: datetime
    by: str
    why: str


@dataclass(frozen=True)
class TrackMade:
    """Which file beside the clip holds a track, what made it and with which settings."""

    id: UUID
    clip: UUID
    by_hand: bool  # a fact if so; a finding if a model made it
    detector: str
    file: str
    digest: str
    settings: dict[str, Any]
    at: datetime
    by: str


@dataclass(frozen=True)
class PointSet:
    """A fact: somebody put a joint at a place in one frame, or took that back (x and y None).

    Units: px of the upright picture, x right, y down
    """

    id: UUID
    clip: UUID
    frame: int
    joint: str
    x: float | None
    y: float | None
    by: str
    at: datetime


@dataclass(frozen=True)
class BedLine:
    """A fact: where the bed's surface lies in the picture of one camera place at one camp.

    Units: px of an upright picture of `width` by `height`, x right, y down
    """

    id: UUID
    camp: UUID
    station: str
    clip: UUID | None  # the film on which it was drawn, while that is kept
    ends: tuple[float, float, float, float]  # x1, y1, x2, y2
    width: int
    height: int
    by: str
    at: datetime

    def scaled(self, width: int, height: int) -> tuple[float, float, float, float]:
        """The line in a picture of another size.

        >>> from datetime import UTC
        >>> line = BedLine(UUID(int=1), UUID(int=2), "", None, (0, 500, 1280, 510), 1280, 720, "A. Coach",
        ...     datetime(2026, 4, 11, tzinfo=UTC))
        >>> line.scaled(640, 360)
        (0.0, 250.0, 640.0, 255.0)
        """
        across, down = width / self.width, height / self.height
        x1, y1, x2, y2 = self.ends
        return (x1 * across, y1 * down, x2 * across, y2 * down)


@dataclass(frozen=True)
class Said:
    """A fact that somebody said about a clip: its true speed, where she stands, which jump is meant."""

    clip: UUID
    what: str  # one of SAYINGS
    value: Any
    by: str
    at: datetime


#: What can be said about a clip; the last of each stands.
#: speed: how many times slower than life it plays (1, 2, 4, 8); at: {"x", "y", "frame"}, a click on the athlete;
#: flight: which of the clip's flights is meant, counted from 0; file: what the decoder found when it came in.
SAYINGS = ("speed", "at", "flight", "file")


@dataclass(frozen=True)
class FilmFacts:
    """All facts about one clip that its findings are made from."""

    clip: FilmedTurn
    track: TrackMade | None = None
    points: tuple[PointSet, ...] = ()
    bed: BedLine | None = None
    said: dict[str, Any] = field(default_factory=dict)


def points_in_force(points: Iterable[PointSet]) -> tuple[PointSet, ...]:
    """The last word on each joint of each frame, without those taken back, by frame and joint.

    >>> points_in_force([])
    ()
    """
    last = {(p.frame, p.joint): p for p in points}
    return tuple(last[key] for key in sorted(last) if last[key].x is not None)
