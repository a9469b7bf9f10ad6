"""Put a film right by hand: joints, the bed's line, its true speed, which flight is meant. Each word is a fact."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import isfinite
from uuid import UUID

from loftbook.book.films import BedLine, PointSet, Said
from loftbook.desk import Desk
from loftbook.desk.entry import new_id
from loftbook.desk.film.engine import REAL
from loftbook.desk.film.measuring import measure_clip
from loftbook.desk.film.port import Engine
from loftbook.errors import RangeError, Refused
from loftbook.film.guided import CLICKED
from loftbook.film.track import JOINTS
from loftbook.store import attempts, clips
from loftbook.store.database import Connection

SPEEDS = (1, 2, 4, 8)  # how many times slower than life a phone may have stamped a film
MOST_POINTS = 2000  # at once


@dataclass(frozen=True)
class Put:
    """A joint put at a place in one frame; without x and y: what was put there is taken back.

    `joint` is one of `film.track.JOINTS`, or "shoulder", "hip", "knee", "ankle" for the middle of both sides: with
    all four of these in four frames or more, physics fills in between.
    """

    frame: int
    joint: str
    x: float | None
    y: float | None


def put_points(
    desk: Desk, clip: UUID, points: Sequence[Put], *, by: str, engine: Engine = REAL
) -> tuple[PointSet, ...]:
    """Writes down where somebody put joints, and measures the film again with them."""
    if not points or len(points) > MOST_POINTS:
        raise Refused(f"{len(points)} points", f"1 to {MOST_POINTS}", "send them in portions")
    now = desk.clock()
    with desk.store.write() as connection:
        size = size_of(connection, clip)
        for point in points:
            _within(point, size)
        new = tuple(PointSet(new_id(desk), clip, p.frame, p.joint, p.x, p.y, by, now) for p in points)
        clips.add_points(connection, new)
    measure_clip(desk, clip, engine=engine)
    return new


@dataclass(frozen=True)
class Size:
    """How large the upright picture is, px, and how many frames there are."""

    width: int
    height: int
    frames: int


def size_of(connection: Connection, clip: UUID) -> Size:
    """The size of a film as it was found when it came in."""
    said = clips.facts(connection, clip).said["file"]
    return Size(said["width"], said["height"], said["frames"])


def _within(point: Put, size: Size) -> None:
    if point.joint not in (*JOINTS, *CLICKED):
        known = ", ".join((*CLICKED, *JOINTS))
        raise Refused(f"the joint {point.joint[:40]!r}", f"one of {known}", "choose one of them")
    if not 0 <= point.frame < size.frames:
        raise RangeError(f"frame {point.frame}", f"0 to {size.frames - 1}", "choose a frame of this film")
    if (point.x is None) != (point.y is None):
        raise Refused("half a place", "x and y, or neither", "send both")
    if point.x is None or point.y is None:
        return
    # A joint may lie a little outside the picture: it is cut off there, and known all the same.
    inside = all(
        isfinite(v) and -0.5 * most <= v <= 1.5 * most
        for v, most in ((point.x, size.width), (point.y, size.height))
    )
    if not inside:
        raise RangeError(
            f"a joint at {point.x:g}, {point.y:g}",
            f"a place in a picture of {size.width} by {size.height} pixels",
            "send pixels of the upright picture",
        )


def draw_bed(desk: Desk, clip: UUID, ends: Sequence[float], *, by: str, engine: Engine = REAL) -> BedLine:
    """Writes down where the bed's surface lies, for every film of this camera place at this camp; measures again.

    Units: ends are x1, y1, x2, y2 in px of the upright picture
    """
    with desk.store.write() as connection:
        film = clips.clip(connection, clip)
        size = size_of(connection, clip)
        x1, y1, x2, y2 = _lies(ends, size)
        turn = attempts.attempts_by_id(connection, [film.attempt])[film.attempt]
        line = BedLine(
            id=new_id(desk),
            camp=turn.camp,
            station=film.station,
            clip=clip,
            ends=(x1, y1, x2, y2),
            width=size.width,
            height=size.height,
            by=by,
            at=desk.clock(),
        )
        clips.draw_bed_line(connection, line)
        others = [one.id for one in clips.clips(connection) if one.id != clip and one.station == film.station]
        same = [one for one in others if film.station and clips.facts(connection, one).bed == line]
    for one in (clip, *same):
        measure_clip(desk, one, engine=engine)
    return line


def _lies(ends: Sequence[float], size: Size) -> tuple[float, float, float, float]:
    if len(ends) != 4 or not all(isfinite(v) for v in ends):
        raise Refused(
            "a bed line without two ends", "x1, y1, x2, y2", "mark the left and the right end of the bed"
        )
    x1, y1, x2, y2 = (float(v) for v in ends)
    if abs(x2 - x1) < 0.05 * size.width or abs(y2 - y1) > abs(x2 - x1):
        raise Refused(
            f"a bed line from {x1:g}, {y1:g} to {x2:g}, {y2:g}",
            "a line along the bed, across the picture",
            "mark the left and the right end of the bed’s surface",
        )
    if not all(
        -most <= v <= 2 * most
        for v, most in ((x1, size.width), (x2, size.width), (y1, size.height), (y2, size.height))
    ):
        raise RangeError("a bed line far outside the picture", "two places in it", "mark both ends again")
    return x1, y1, x2, y2


def confirm_speed(desk: Desk, clip: UUID, times: int, *, by: str, engine: Engine = REAL) -> None:
    """Writes down how many times slower than life a film plays (1: as it was), and measures it again."""
    if times not in SPEEDS:
        raise RangeError(f"{times} times slower", "1, 2, 4 or 8", "look at what the phone was set to")
    _say(desk, Said(clip, "speed", times, by, desk.clock()), engine)


def choose_flight(desk: Desk, clip: UUID, flight: int | None, *, by: str, engine: Engine = REAL) -> None:
    """Writes down which of a film's flights is meant, counted from 0; None: the one with most turning."""
    if flight is not None and not 0 <= flight < 100:
        raise RangeError(f"flight {flight}", "one of the film’s", "choose it on the film’s page")
    _say(desk, Said(clip, "flight", flight, by, desk.clock()), engine)


def _say(desk: Desk, said: Said, engine: Engine) -> None:
    with desk.store.write() as connection:
        clips.clip(connection, said.clip)
        clips.say(connection, said)
    measure_clip(desk, said.clip, engine=engine)
