"""Follows her with our own network, which knows bodies at any angle: one upright square a frame.

Where the square lies is not left to the network. A still camera shows where she moves before the background, and what
does not lie there is not believed, however likely it says it is: a lamp on the wall has been taken for a body before.
How large the square is changes slowly, and when the network doubts, some other squares are tried.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from typing import Protocol

import numpy as np
from numpy.typing import NDArray

from loftbook.film.crops import Picture, Square, cut
from loftbook.film.following import Hint, Shown
from loftbook.film.own.card import SIDE, Card, Maps
from loftbook.film.own.maps import Seen, seen_in
from loftbook.film.track import Array

OUTSIDE = 0.5  # grey, where a square hangs over the edge of the picture
MARGIN = 1.15  # of her whole length: the middle of the squares that it was taught with
STICKS_OUT = 0.10  # of the standing height: head, hands and feet beyond the joints
NEAR_PATCH = 0.3  # of the standing height: where the frames before lead is trusted this near to her patch
OF_PATCH = 1.15  # four standard deviations along a patch, over its length
SLOWLY = 0.25  # share of a frame's change that the side of the square follows
SIDES = (0.7, 1.75)  # of the standing height, the least and the largest square
DOUBTS = 0.5  # of the confidence; below it other squares are tried
BLIND = 0.1  # s without a believed frame, after which speeds are forgotten
EAGER, SELDOM = (
    3,
    6,
)  # frames of doubt in a row in which other squares are tried, and every how many after them
OTHERS = (0.85, 1.15, 1.5)  # of the standing height, squares that are tried
FROM_PATCH = 0.45  # of the standing height: middles further from her patch are not hers
JUMP = 0.22  # of the standing height, from where the frames before lead; further in one frame is a jump
TRUNKS = (0.10, 0.48)  # of the standing height


class Eyes(Protocol):
    """What answers with maps to squares of pictures; tests put their own in the place of the network."""

    @property
    def card(self) -> Card: ...

    def read(self, squares: NDArray[np.float32]) -> Maps: ...


@dataclass(frozen=True, eq=False)
class Look:
    """What one frame gave.

    Units
        time : s; seen : the body, in px; confidence : 0 where what was seen cannot be hers; stray : whether that was so
    """

    time: float
    seen: Seen
    confidence: float
    stray: bool


@dataclass(frozen=True, eq=False)
class _Way:
    """Where she was and how she moved: middle in px, px/s, and the side of the square that fits her, px."""

    middle: Array
    moving: Array
    side: float
    time: float | None = None
    believed: float | None = None  # s, when she was last seen surely
    doubted: int = 0  # frames since then

    def at(self, time: float) -> Array:
        if self.time is None or (self.believed is not None and time - self.believed > BLIND):
            return self.middle
        return np.asarray(self.middle + self.moving * (time - self.time))


def follow_own(pictures: Iterable[Shown], eyes: Eyes, start: Array, *, height: float) -> Iterator[Look]:
    """One way through the film, frame by frame.

    Units
        start : px, the middle of her body in the first frame; height : px of the standing body

    Valid
        with a silhouette the square lies on it; without one she must be in the first square
    """
    way = _Way(start, np.zeros(2), 1.2 * height)
    for time, picture, hint in pictures:
        side = float(np.clip(_side(way, hint), SIDES[0] * height, SIDES[1] * height))
        middle = _place(way, time, hint, height)
        seen = _read(picture, eyes, [_square(middle, side)], height=height)[0]
        stray = is_stray(seen, hint, way.at(time) if way.believed is not None else None, height=height)
        if (stray or seen.confidence < DOUBTS) and _seeks(way):
            tried = _others(picture, eyes, (middle, way.at(time)), height=height)
            seen, stray = _best([seen, *tried], hint, way.at(time), height=height)
        confidence = 0.0 if stray else seen.confidence
        way = _learnt(way, seen, time, believed=confidence >= DOUBTS, height=height)
        yield Look(time, seen, confidence, stray)


def is_stray(seen: Seen, hint: Hint | None, led: Array | None, *, height: float) -> bool:
    """Whether what was seen cannot be hers: off her patch, a jump, or no body of her size.

    Units
        led : px, where the frames before lead her middle, None where nothing is known; height : px

    Source
        law: with a still camera what does not move is background; limits are assumptions

    Example
        >>> away = Seen(np.full((6, 2), 300.0), np.ones(6), np.full((19, 2), 300.0), 0.9)
        >>> is_stray(away, None, np.array([300.0, 300.0]), height=200.0)  # a body without length
        True
    """
    middle = middle_of(seen)
    trunk = float(np.hypot(*(seen.middles[0] - seen.middles[1])))
    if not TRUNKS[0] * height < trunk < TRUNKS[1] * height:
        return True
    if hint is not None:
        return bool(np.hypot(*(middle - hint.middle)) > FROM_PATCH * height)
    return led is not None and bool(np.hypot(*(middle - led)) > JUMP * height)


def middle_of(seen: Seen) -> Array:
    """The middle of the box round all that was seen of her, px."""
    every = np.concatenate([seen.middles, seen.points])
    return np.asarray((every.min(axis=0) + every.max(axis=0)) / 2)


def _place(way: _Way, time: float, hint: Hint | None, height: float) -> Array:
    """Where the square lies: where the frames before lead, unless her patch lies elsewhere."""
    led = way.at(time)
    if hint is None:
        return led
    near = float(np.hypot(*(led - hint.middle))) < NEAR_PATCH * height
    return led if near and way.believed is not None else hint.middle


def _seeks(way: _Way) -> bool:
    """Whether other squares are worth their time: in the first frames of doubt, then now and then."""
    return way.doubted < EAGER or way.doubted % SELDOM == 0


def _side(way: _Way, hint: Hint | None) -> float:
    """The side of the square: what fitted her before, drawn towards what her patch says now."""
    if hint is None or not np.isfinite(hint.length):
        return way.side
    patch = MARGIN * hint.length / OF_PATCH
    return way.side + SLOWLY * (patch - way.side)


def _square(middle: Array, side: float) -> Square:
    return Square(float(middle[0]), float(middle[1]), side, 0.0)


def _read(picture: Picture, eyes: Eyes, squares: Sequence[Square], *, height: float) -> list[Seen]:
    shown = np.stack([cut(picture, square, into=SIDE, outside=OUTSIDE) for square in squares])
    maps = eyes.read(shown)
    return [seen_in(maps, n, square, eyes.card, height=height) for n, square in enumerate(squares)]


def _others(picture: Picture, eyes: Eyes, places: Sequence[Array], *, height: float) -> list[Seen]:
    """Squares of other sizes, on her patch and where the frames before lead."""
    apart = len(places) > 1 and float(np.hypot(*(places[0] - places[1]))) > 0.1 * height
    wanted = places if apart else places[:1]
    squares = [_square(place, share * height) for place in wanted for share in OTHERS]
    return _read(picture, eyes, squares, height=height)


def _best(tried: Sequence[Seen], hint: Hint | None, led: Array, *, height: float) -> tuple[Seen, bool]:
    """The surest of some answers that can be hers; where none can, the first, and that it is stray."""
    fair = [seen for seen in tried if not is_stray(seen, hint, led, height=height)]
    if not fair:
        return tried[0], True
    return max(fair, key=lambda seen: seen.confidence), False


def _learnt(way: _Way, seen: Seen, time: float, *, believed: bool, height: float) -> _Way:
    if not believed:
        return replace(way, doubted=way.doubted + 1)
    middle = middle_of(seen)
    every = np.concatenate([seen.middles, seen.points])
    whole = MARGIN * (float(np.ptp(every, axis=0).max()) + STICKS_OUT * height)
    side = way.side + SLOWLY * (whole - way.side)
    moving = way.moving
    if way.time is not None and way.believed is not None and time != way.time:
        share = 1 - np.exp(-abs(time - way.time) / 0.03)
        moving = way.moving + share * ((middle - way.middle) / (time - way.time) - way.moving)
    return replace(way, middle=middle, moving=moving, side=side, time=time, believed=time, doubted=0)
