"""Follows one athlete through a film with a pose model that knows only people who stand upright.

Each frame is turned until she stands in it. By how much is foretold from the frames before: in the air she can turn
no faster or slower within a sixtieth of a second, because her angular momentum stays. The square stays as large as the
standing body asks for, also while she is folded: a square that shrinks with her is what lost the pike. Two squares are
read in each frame, the second as in a mirror, and how far their answers lie apart is kept.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from typing import Protocol

import numpy as np
from numpy.typing import NDArray

from loftbook.film.crops import Picture, Square, cut
from loftbook.film.track import COLUMN, JOINTS, SIDED

Array = NDArray[np.float64]

FASTEST = np.radians(1500)  # rad/s; published peaks of somersaulting stay below 1200°/s
STRAY = np.radians(55)  # rad; an answer further from the foretold angle is not believed
SIDE_OF = 1.2  # of the standing height
INTO_FOLD = 0.07  # of the fold: the second square leans into it; hips read too closed otherwise
FOLDED = np.radians(70)
GIVES, LEANS = (
    0.4,
    np.radians(25),
)  # how far the foretold course gives way to what is seen: share a frame, and at most
TRUNK = 0.27  # of the standing height, hips to shoulders, middle of open and folded


class PoseModel(Protocol):
    """What reads joints out of a square picture of somebody upright; a second one is expected, hence the port.

    `joints` takes (256, 256, 3) from 0 to 1 and answers (19, 2) px of the square in the order of `JOINTS`.
    """

    @property
    def name(self) -> str: ...

    def joints(self, square: NDArray[np.float32]) -> Array: ...


@dataclass(frozen=True)
class Guess:
    """Where she is expected: hips in px, angle of the trunk in rad against the clock, and how both change a second.

    `time` says when, in s; without it the guess is for the first frame that comes.
    """

    hips: Array
    angle: float
    moving: Array
    turning: float
    time: float | None = None

    def after(self, step: float) -> Guess:
        """The same a moment later, if nothing but inertia acts."""
        return replace(self, hips=self.hips + self.moving * step, angle=self.angle + self.turning * step)


@dataclass(frozen=True)
class Hint:
    """What her silhouette says of one frame.

    Units
        middle : px; axis : rad, running; opened : whether she is so long that the axis is her trunk's; flying :
        whether she is well in the air; folded : whether she is that and so short that she must be; length : px, of
        her patch, four standard deviations along its axis
    """

    middle: Array
    axis: float
    opened: bool
    flying: bool
    folded: bool
    length: float = float("nan")


@dataclass(frozen=True)
class Course:
    """How she turns while she is folded, foretold from both ends of the fold: fast and evenly, eased at the ends.

    Units
        begun, ended : s; angle : rad at `begun`; rates : (3,) rad/s at the beginning, in the middle, at the end;
        easing : s
    """

    begun: float
    ended: float
    angle: float
    rates: tuple[float, float, float]
    easing: float

    def at(self, time: float) -> float:
        """The angle at a time within.

        Example
            >>> course = course_between((0.0, 1.0, 3.0), (1.0, 11.0, 3.0))
            >>> round(course.at(0.0), 6), round(course.at(0.5), 6), round(course.at(1.0), 6)
            (1.0, 6.0, 11.0)
        """
        first, middle, last = self.rates
        t, whole, r = time - self.begun, self.ended - self.begun, self.easing
        into, out = min(t, r), max(0.0, t - (whole - r))
        even = t - into - out
        rising = first * into + (middle - first) * into**2 / (2 * r)
        falling = middle * out + (last - middle) * out**2 / (2 * r)
        return self.angle + rising + middle * even + falling


def course_between(one: tuple[float, float, float], other: tuple[float, float, float]) -> Course:
    """The course between two moments, each a time in s, a running angle in rad and a rate in rad/s.

    Valid
        the shape in between is held, so that the rate is even there: angular momentum stays in the air
    """
    whole = other[0] - one[0]
    easing = min(0.1, whole / 3)
    middle = (other[1] - one[1] - (one[2] + other[2]) * easing / 2) / (whole - easing)
    return Course(one[0], other[0], one[1], (one[2], middle, other[2]), easing)


@dataclass(frozen=True, eq=False)
class Answer:
    """What one frame gave.

    Units
        points : (19, 2) px; doubt : (19,) px between the two squares; guess : where she was, and how she moved;
        believed : whether an answer near what was foretold was there; alone : whether no other pass looked
    """

    time: float
    points: Array
    doubt: Array
    guess: Guess
    believed: bool
    alone: bool = False


@dataclass(frozen=True, eq=False)
class Pass:
    """One way through the film, forward or backward, in the order of time.

    Units
        times : (N,) s; points : (N, 19, 2) px; doubt : (N, 19) px between the two squares; believed : (N,)
        alone : (N,) whether no other pass looked
    """

    times: Array
    points: Array
    doubt: Array
    believed: NDArray[np.bool_]
    alone: NDArray[np.bool_]


Shown = tuple[
    float, Picture, Hint | None
]  # time in s, the picture, and what her silhouette says where there is one


def follow(
    pictures: Iterable[Shown], model: PoseModel, start: Guess, *, height: float, course: Course | None = None
) -> Iterator[Answer]:
    """One pass, frame by frame, from where she is expected in the first of them.

    Units
        height : px of the standing body; course : how she turns while folded, once both its ends are known
    """
    guess, last, lean = start, None, 0.0
    believed = True
    for time, picture, hint in pictures:
        step = 0.0 if guess.time is None else time - guess.time
        guess = replace(guess.after(step), time=time)
        if hint is not None:
            guess = _with_hint(guess, hint, last if not believed else None, height)
        foretold = course.at(time) if course is not None and course.begun <= time <= course.ended else None
        if foretold is not None:
            guess = replace(guess, angle=foretold + lean)
        points, doubt, believed = look(picture, model, guess, height=height, steady=foretold is not None)
        if believed:
            guess = _learnt(guess, points, step)
            if foretold is not None:
                lean = float(np.clip(lean + GIVES * (guess.angle - foretold - lean), -LEANS, LEANS))
        last = hint
        yield Answer(time, points, doubt, guess, believed)


def until_folded(answers: Iterable[Answer], hints: Iterable[Hint | None]) -> list[Answer]:
    """The answers up to the first in the air in which she is folded, by the joints or by the silhouette."""
    out: list[Answer] = []
    for answer, hint in zip(answers, hints, strict=False):
        out.append(answer)
        closed = answer.believed and abs(float(fold_of(answer.points))) > FOLDED
        if hint is not None and (hint.folded or (hint.flying and closed)):
            break
    return out


def look(
    picture: Picture, model: PoseModel, guess: Guess, *, height: float, steady: bool = False
) -> tuple[Array, Array, bool]:
    """Two squares of one frame: joints, how far the two lie apart, and whether either is near what was foretold.

    The second is seen as in a mirror. `steady` keeps its angle near the foretold one, whatever the first has shown.
    """
    first = _read(picture, model, guess, height=height)
    fair = [points for points in (first,) if _fair(points, guess, height)]
    better = _corrected(guess, first) if fair else guess
    if steady:
        off = float(np.clip(better.angle - guess.angle, -LEANS, LEANS))
        better = replace(better, angle=guess.angle + off)
    if fair:
        better = replace(better, angle=better.angle + INTO_FOLD * float(fold_of(first)))
    second = same_sides(_read(picture, model, better, height=height, mirrored=True), first)
    fair += [points for points in (second,) if _fair(points, guess, height)]
    if len(fair) == 2:
        return (first + second) / 2, np.linalg.norm(first - second, axis=1), True
    if fair:
        return fair[0], np.maximum(np.linalg.norm(first - second, axis=1), 0.1 * TRUNK * height), True
    return second, np.full(len(JOINTS), 0.5 * TRUNK * height), False


def sized(picture: Picture, model: PoseModel, hips: Array) -> tuple[Guess, float]:
    """Somebody upright who was clicked on: where her hips are, and how tall she stands, px.

    Squares of four sizes are tried round the click, each made to fit what it shows; the one that ends nearest wins.
    """
    tries = []
    for share in (0.3, 0.45, 0.65, 0.95):
        guess, height = Guess(hips, 0.0, np.zeros(2), 0.0), share * picture.shape[0]
        for _ in range(3):
            points = _read(picture, model, guess, height=height)
            trunk = trunk_of(points)
            height = float(np.clip(np.hypot(*trunk) / TRUNK, 0.08 * picture.shape[0], 1.5 * picture.shape[0]))
            guess = Guess(pair(points, "hip"), float(angle_of(trunk)), np.zeros(2), 0.0)
        off = float(np.hypot(*(guess.hips - hips))) / height + abs(guess.angle)
        tries.append((off, guess, height))
    _, guess, height = min(tries, key=lambda one: one[0])
    return guess, height


def _read(
    picture: Picture, model: PoseModel, guess: Guess, *, height: float, mirrored: bool = False
) -> Array:
    """One square read, as it is or as in a mirror: the model knows the two halves of the world by different photos."""
    square = Square(float(guess.hips[0]), float(guess.hips[1]), SIDE_OF * height, guess.angle)
    shown = cut(picture, square)
    if not mirrored:
        return square.to_picture(model.joints(shown))
    points = model.joints(np.ascontiguousarray(shown[:, ::-1]))[SWAPPED]
    points = np.stack([shown.shape[1] - points[:, 0], points[:, 1]], axis=1)
    return square.to_picture(points)


def pair(points: Array, joint: str) -> Array:
    """The middle between left and right, (..., 2)."""
    both: Array = (points[..., COLUMN[f"left_{joint}"], :] + points[..., COLUMN[f"right_{joint}"], :]) / 2
    return both


def angle_of(along: Array) -> Array:
    """The angle of a vector against the clock from upright, rad; y runs down."""
    return np.arctan2(-along[..., 0], -along[..., 1])


def wrapped(angle: Array | float) -> Array:
    """The same angle within half a turn of 0."""
    return (np.asarray(angle) + np.pi) % (2 * np.pi) - np.pi


def trunk_of(points: Array) -> Array:
    """From the hips to the shoulders, (..., 2) px."""
    return pair(points, "shoulder") - pair(points, "hip")


def fold_of(points: Array) -> Array:
    """By how much the thighs are folded onto the trunk, rad: 0 straight, positive when they turn against the clock.

    Valid
        wrapped to half a turn; the sign tells on which side of the trunk the legs are
    """
    thigh = pair(points, "hip") - pair(points, "knee")
    return wrapped(angle_of(thigh) - angle_of(trunk_of(points)))


def _fair(points: Array, guess: Guess, height: float) -> bool:
    """Whether an answer is a body of her size about where and how she is expected."""
    trunk = trunk_of(points)
    length = float(np.hypot(*trunk))
    near = float(np.hypot(*(pair(points, "hip") - guess.hips))) < 0.22 * height
    right_way = abs(float(wrapped(float(angle_of(trunk)) - guess.angle))) < STRAY
    return near and right_way and 0.13 * height < length < 0.48 * height


def _corrected(guess: Guess, points: Array) -> Guess:
    """The guess with what the first square has shown."""
    angle = guess.angle + float(wrapped(float(angle_of(trunk_of(points))) - guess.angle))
    return replace(guess, hips=pair(points, "hip"), angle=angle)


def _learnt(guess: Guess, points: Array, step: float) -> Guess:
    """The guess for the next frame: the place as seen, the speeds changed only so fast."""
    seen = _corrected(guess, points)
    if step == 0:
        return seen
    share = 1 - np.exp(-abs(step) / 0.03)
    moved = (seen.hips - (guess.hips - guess.moving * step)) / step
    turned = (seen.angle - (guess.angle - guess.turning * step)) / step
    turning = float(np.clip(guess.turning + share * (turned - guess.turning), -FASTEST, FASTEST))
    return replace(seen, moving=guess.moving + share * (moved - guess.moving), turning=turning)


def _with_hint(guess: Guess, hint: Hint, last: Hint | None, height: float) -> Guess:
    """The guess drawn back to her silhouette, when it has run away from it or nothing was believed of late.

    `last` is the hint before, given only while nothing is believed: then the axis tells how far she has turned.
    """
    if not np.isfinite(hint.axis):
        return guess
    away = guess.hips - hint.middle
    far = float(np.hypot(*away))
    if far > 0.35 * height or last is not None:
        guess = replace(guess, hips=hint.middle + away * min(1.0, 0.12 * height / max(far, 1e-9)))
    off = float(wrapped(2 * (hint.axis - guess.angle))) / 2  # an axis has no top, so within a quarter turn
    if hint.opened and (abs(off) > np.radians(35) or last is not None):
        guess = replace(guess, angle=guess.angle + off)
    return guess


def same_sides(points: Array, other: Array) -> Array:
    """The points with left and right named as in another answer: the whole body is swapped, or not."""
    swapped = points[..., SWAPPED, :]
    as_is = np.linalg.norm(points - other, axis=-1).sum(axis=-1)
    turned = np.linalg.norm(swapped - other, axis=-1).sum(axis=-1)
    return np.where((turned < as_is)[..., None, None], swapped, points)


def _swapping() -> list[int]:
    order = list(range(len(JOINTS)))
    for joint in SIDED:
        left, right = COLUMN[f"left_{joint}"], COLUMN[f"right_{joint}"]
        order[left], order[right] = right, left
    return order


SWAPPED = _swapping()


def gathered(rows: Sequence[Answer]) -> Pass:
    """The frames of a pass as arrays, in the order of time."""
    rows = sorted(rows, key=lambda row: row.time)
    return Pass(
        np.array([row.time for row in rows]),
        np.stack([row.points for row in rows]),
        np.stack([row.doubt for row in rows]),
        np.array([row.believed for row in rows]),
        np.array([row.alone for row in rows]),
    )
