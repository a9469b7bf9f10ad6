"""A stretch of film round one flight: its frames, what her silhouette says, and how she turns through the fold.

Pure: what the detector decides between looking at pictures.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from itertools import dropwhile

import numpy as np
from numpy.typing import NDArray

from loftbook.errors import ClipError
from loftbook.film.clip import Clip
from loftbook.film.flying import Flown
from loftbook.film.following import (
    FASTEST,
    Answer,
    Course,
    Guess,
    Hint,
    Shown,
    course_between,
    until_folded,
    wrapped,
)
from loftbook.film.silhouette import Patch
from loftbook.film.track import SecondEyes, Silhouette, Track

Array = NDArray[np.float64]

GLANCE = 320  # px wide
AROUND = 0.45  # s before and after a flight that are followed as well: the bed before, the landing after
CLOSE = 75  # frames a second are enough to follow; above that some are left out
CONTACT = (
    0.12,
    0.30,
)  # s outside and inside the ends of a parabola: there every frame is read, for the contact times
TOLD_APART = "The passes forward and backward disagree: joints are not to be trusted without a look."
TOO_OFTEN = 0.08  # share of frames apart in a flight; on films with truth right ones stayed at 0 to 2 %
OPEN = 2.3  # times longer than broad: an open body, whose axis is its trunk's
TOLD_EYES = (
    "The two pairs of eyes disagree, or the one for folded bodies doubts: joints are not to be trusted "
    "without a look."
)
SHORT = 0.68  # of the open body's length: shorter in the air is folded


@dataclass(frozen=True, eq=False)
class Stretch:
    """Frames that are followed: from, to, every how many, and the flight in them, where one was seen."""

    start: int
    stop: int
    step: int
    flown: Flown | None
    click: tuple[float, float, int] | None
    scale: float  # px of the picture in one px of a glance

    @property
    def numbers(self) -> list[int]:
        """The frames that both passes go through."""
        return list(range(self.start, self.stop, self.step))

    def between(self, clip: Clip) -> list[int]:
        """The frames that the passes leave out near both contacts, where every frame counts."""
        if self.step == 1 or self.flown is None:
            return []
        times = clip.times[self.start : self.stop]
        outside, inside = CONTACT
        near = (np.abs(times - self.flown.begun - (inside - outside) / 2) < (inside + outside) / 2) | (
            np.abs(times - self.flown.ended + (inside - outside) / 2) < (inside + outside) / 2
        )
        done = set(self.numbers)
        last = self.numbers[-1]
        return [n for n in (np.flatnonzero(near) + self.start).tolist() if n not in done and n < last]


def scale_of(clip: Clip) -> float:
    """Pixels of the picture in one pixel of a glance."""
    return clip.width / min(GLANCE, clip.width)


def round_flight(clip: Clip, flown: Flown) -> Stretch:
    """The frames round a flight."""
    start, stop = np.searchsorted(clip.times, [flown.begun - AROUND, flown.ended + AROUND])
    return Stretch(int(start), int(stop), max(1, round(clip.rate / CLOSE)), flown, None, scale_of(clip))


def round_click(clip: Clip, at: tuple[float, float, int], found: list[Flown]) -> Stretch:
    """The flight nearest to a click; without one, two seconds either way."""
    time, scale = clip.times[at[2]], scale_of(clip)

    def away(flown: Flown) -> float:
        within = float(np.clip(time, flown.begun, flown.ended))
        x, y = flown.at(within)
        off = float(np.hypot(x * scale - at[0], y * scale - at[1]))
        return off / (scale * flown.length) + 2 * abs(float(time) - within)

    near = [flown for flown in found if away(flown) < 2]
    if near:
        whole = round_flight(clip, min(near, key=away))
        return Stretch(whole.start, whole.stop, whole.step, whole.flown, at, scale_of(clip))
    start, stop = np.searchsorted(clip.times, [time - 2.0, time + 2.0])
    return Stretch(int(start), int(stop), max(1, round(clip.rate / CLOSE)), None, at, scale_of(clip))


def kept_apart(stretches: list[Stretch]) -> list[Stretch]:
    """Stretches that touch are cut at their middle, so that no frame is followed twice."""
    out = sorted(stretches, key=lambda one: one.start)
    for n in range(1, len(out)):
        if out[n].start < out[n - 1].stop:
            cut = (out[n].start + out[n - 1].stop) // 2
            out[n - 1] = replace(out[n - 1], stop=cut)
            out[n] = replace(out[n], start=cut)
    return out


def hints_of(
    hers: list[Patch | None] | None,
    silhouette: Silhouette | None,
    times: Array,
    stretch: Stretch,
    scale: float,
) -> list[Hint | None]:
    """What the silhouette says of each frame."""
    flown = stretch.flown
    if hers is None or silhouette is None or flown is None:
        return [None] * len(times)
    hints: list[Hint | None] = []
    for time, patch, axis in zip(times, hers, silhouette.axis, strict=True):
        if patch is None:
            hints.append(None)
            continue
        flying = flown.begun + 0.15 < time < flown.ended - 0.15
        folded = flying and patch.length < SHORT * flown.length
        middle = np.array([patch.x, patch.y]) * scale
        opened = patch.length > OPEN * patch.breadth
        length = patch.length * scale
        hints.append(Hint(middle, float(axis), opened=opened, flying=flying, folded=folded, length=length))
    return hints


STOOD = 0.3  # of a stretch, for which she may stand still at either end


def standing(silhouette: Silhouette, rows: slice) -> Guess:
    """She stands at this end of the stretch: her axis there, with her head up.

    Who stands still for long has become background there; then the first frames in which she moves are taken.
    """
    axis, middle = silhouette.axis[rows], silhouette.middle[rows]
    known = np.isfinite(axis)
    if not known.any():
        inward = np.arange(len(silhouette.axis))[:: rows.step or 1]
        seen = inward[np.isfinite(silhouette.axis[inward])]
        axis, middle = silhouette.axis[seen[:3]], silhouette.middle[seen[:3]]
        known = np.full(len(axis), len(seen) > 0 and abs(int(seen[0]) - int(inward[0])) < len(inward) * STOOD)
    if not known.any():
        raise ClipError(
            "no sight of her before or after the jump", "a film that shows the whole jump", "film wider"
        )
    # twice an axis is an angle without a top; the middle of a few, as one of them may be cut by the bed
    return Guess(
        np.median(middle[known], axis=0), float(np.median(wrapped(2 * axis[known])) / 2), np.zeros(2), 0.0
    )


def resting(guess: Guess) -> Guess:
    """Where one pass ended, as where the other begins: nothing is known of how fast she turns there."""
    return replace(guess, moving=np.zeros(2), turning=0.0, time=None)


def from_both_ends(
    ahead: Iterator[Shown],
    behind: Iterator[Shown],
    hints: list[Hint | None],
    ends: tuple[Guess, Guess],
    run: Callable[[Iterator[Shown], Guess, Course | None], Iterator[Answer]],
    *,
    once: bool = False,
) -> tuple[list[Answer], list[Answer]]:
    """Both passes: each as far as she is open, then, with the turn of the fold known from both ends, the rest.

    `once` lets the backward pass leave out the fold, where other eyes look: what the forward pass saw stands for both.
    """
    forth = until_folded(run(ahead, ends[0], None), hints)
    back = until_folded(run(behind, ends[1], None), hints[::-1])
    course = None
    if len(forth) + len(back) < len(hints):
        course = _course(forth, back, hints)
    into = len(forth)
    out_of = back[-1].time
    forth += run(ahead, forth[-1].guess, course)
    if once and course is not None and into < len(forth):
        alone = [replace(one, alone=True) for one in forth[into:] if one.time < out_of]
        earlier = dropwhile(lambda shown: shown[0] > forth[into - 1].time + 1e-9, behind)
        back += [*reversed(alone), *run(earlier, forth[into].guess, None)]
        return forth, back
    back += run(behind, back[-1].guess, course)
    return forth, back


def _course(forth: list[Answer], back: list[Answer], hints: list[Hint | None]) -> Course | None:
    """How she turns between the last open frame of each pass; the silhouette counts the turns."""
    a, b = max(0, len(forth) - 3), max(0, len(back) - 3)
    one, other = hints[a], hints[len(hints) - 1 - b]
    if one is None or other is None or not np.isfinite([one.axis, other.axis]).all():
        return None
    begun, ended = forth[a], back[b]
    turned = other.axis - one.axis
    seen = ended.guess.angle - begun.guess.angle
    turns = round((turned - seen) / (2 * np.pi))
    course = course_between(
        (begun.time, begun.guess.angle, begun.guess.turning),
        (ended.time, ended.guess.angle + 2 * np.pi * turns, ended.guess.turning),
    )
    # slower in the fold than at its ends, or faster than anybody: then an end was wrong, and a course would mislead
    slow = course.rates[1] * np.sign(begun.guess.turning + ended.guess.turning) <= 0
    return None if slow or abs(course.rates[1]) > FASTEST else course


def joined(parts: list[Track], clip: Clip, name: str, notes: list[str]) -> Track:
    """Several stretches as one track, in order of time."""
    told = list(notes)
    wrong = [part for part in parts if float(np.mean(part.quarrels)) > TOO_OFTEN]
    if wrong:
        told.append(TOLD_APART if wrong[0].second is None else TOLD_EYES)
    told += dict.fromkeys(note for part in parts for note in part.notes)
    witnesses = [part.silhouette for part in parts]
    whole = [one for one in witnesses if one is not None]
    silhouette = None
    if len(whole) == len(parts):
        silhouette = Silhouette(
            *(np.concatenate([getattr(one, k) for one in whole]) for k in ("axis", "middle", "area"))
        )
    fields = ("times", "frames", "points", "spread", "origin", "apart")
    arrays = {k: np.concatenate([getattr(part, k) for part in parts]) for k in fields}
    return Track(
        **arrays,
        width=clip.width,
        height=clip.height,
        detector=name,
        silhouette=silhouette,
        notes=tuple(told),
        edges=next((part.edges for part in parts if part.edges is not None), None),
        second=_second(parts),
    )


def _second(parts: list[Track]) -> SecondEyes | None:
    """What the second eyes saw in all stretches, where they looked at all of them."""
    seen = [part.second for part in parts if part.second is not None]
    if len(seen) < len(parts):
        return None
    fields = ("middles", "spread", "confidence", "apart", "used", "sure")
    arrays = {k: np.concatenate([getattr(one, k) for one in seen]) for k in fields}
    return SecondEyes(**arrays, name=seen[0].name)
