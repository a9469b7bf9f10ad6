"""Finds the athlete in a film and follows her joints, forward and backward, with a pose model.

First the whole film is glanced through, small and a few times a second: who moves, who falls like a stone. Only the
stretches round a flight that turns are then looked at closely, so a film of minutes costs little more than its jumps.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from loftbook.errors import ClipError, Stopped
from loftbook.film.blazepose import Kind, model_of
from loftbook.film.clip import Clip
from loftbook.film.crops import Picture
from loftbook.film.decode import frames, frames_backward, glances
from loftbook.film.flying import Flown, flights, hers_in
from loftbook.film.following import (
    Answer,
    Guess,
    Hint,
    PoseModel,
    follow,
    gathered,
    pair,
    sized,
    wrapped,
)
from loftbook.film.merging import APART, merged
from loftbook.film.silhouette import (
    Patch,
    background_of,
    mask_of,
    patches_of,
    shift_between,
    witness,
)
from loftbook.film.track import Silhouette, Track

Array = NDArray[np.float64]
Progress = Callable[[float], None]
Cancelled = Callable[[], bool]
Seen = tuple[list[int], list[list[Patch]]]  # numbers of glances, and what moved in each

GLANCE = 320  # px wide
A_SECOND = 15  # glances for the survey
STRETCH = 10.0  # s of film that share one background
FOR_BACKGROUND = 31
AROUND = 0.45  # s before and after a flight that are followed as well: the bed before, the landing after
CLOSE = 75  # frames a second are enough to follow; above that some are left out
TURNS = np.radians(200)  # a flight that turns less is a plain jump
TOLD_APART = "The passes forward and backward disagree: joints are not to be trusted without a look."
OPEN = 2.3  # times longer than broad: an open body, whose axis is its trunk's
WHOLE = 1.32  # four standard deviations of an open body, arms up, over its standing height


@dataclass(frozen=True, eq=False)
class _Watch:
    """Who is told how far it is, and who may stop it."""

    progress: Progress | None
    cancelled: Cancelled | None

    def at(self, share: float) -> None:
        if self.cancelled is not None and self.cancelled():
            raise Stopped("The measuring was stopped before its end; nothing was kept.")
        if self.progress is not None:
            self.progress(min(1.0, share))


def detect(
    path: Path,
    clip: Clip,
    at: tuple[float, float, int] | None = None,
    *,
    model: Kind | PoseModel = "heavy",
    progress: Progress | None = None,
    cancelled: Cancelled | None = None,
) -> Track:
    """Where her joints are in every frame round her somersaults; who she is, she shows by flying.

    Units
        at : x and y in px of the upright picture and the number of a frame: a click on her hips, where several people
        fly or the camera moves; progress : told the share done, 0 to 1; cancelled : asked now and then

    Raises
        ClipError when nobody flies and nobody was clicked; Stopped when `cancelled` says so

    Valid
        side-on film. Without a still camera there is no silhouette, nobody is found without a click, and she has to
        be upright in the clicked frame; a note says so.
    """
    watch = _Watch(progress, cancelled)
    reader = model_of(model) if isinstance(model, str) else model
    stretches, notes = _stretches(path, clip, at, watch)
    parts = []
    for n, stretch in enumerate(stretches):
        share = (0.15 + 0.85 * n / len(stretches), 0.85 / len(stretches))
        parts.append(_followed(path, clip, stretch, reader, _Watch(_part(watch, share), cancelled)))
    watch.at(1.0)
    return _joined(parts, clip, reader.name, notes)


@dataclass(frozen=True, eq=False)
class _Stretch:
    """Frames that are followed: from, to, every how many, and the flight in them, where one was seen."""

    start: int
    stop: int
    step: int
    flown: Flown | None
    click: tuple[float, float, int] | None


def _part(watch: _Watch, share: tuple[float, float]) -> Progress:
    """Progress of a part as progress of the whole."""
    return lambda done: watch.at(share[0] + share[1] * done)


def _stretches(
    path: Path, clip: Clip, at: tuple[float, float, int] | None, watch: _Watch
) -> tuple[list[_Stretch], list[str]]:
    """Glance through the film and choose what to follow."""
    reach = (0, clip.frames)
    if at is not None:
        if not (0 <= at[2] < clip.frames and 0 <= at[0] <= clip.width and 0 <= at[1] <= clip.height):
            raise ClipError(
                f"a click at {at[0]:.0f}, {at[1]:.0f} in frame {at[2]}",
                f"within {clip.width} × {clip.height} and frames 0 to {clip.frames - 1}",
                "click on her hips in a frame of the film",
            )
        around = clip.times[at[2]] + np.array([-1, 1]) * STRETCH / 2
        first, last = np.searchsorted(clip.times, around)
        reach = (int(first), int(last))
    numbers, seen, moved = _survey(path, clip, reach, watch)
    found = flights(clip.times[numbers], seen) if not moved else []
    notes = ["The camera moved: there is no silhouette, and no scale from gravity."] if moved else []
    if at is not None:
        return [_clicked(clip, at, found)], notes
    if not found:
        why = "the camera moved" if moved else "nobody in it follows a parabola as a jump does"
        raise ClipError(
            f"no jump that could be found by itself: {why}",
            "a side-on film from a camera that stands still",
            "click on her hips in a frame in which she stands upright, just before take-off",
        )
    turning = [flown for flown in found if abs(flown.turned) > TURNS]
    if turning and len(turning) < len(found):
        notes.append(f"{len(found) - len(turning)} jumps without a somersault were seen and not followed.")
    chosen = turning or [max(found, key=lambda flown: flown.last - flown.first)]
    return _apart([_round(clip, flown) for flown in chosen]), notes


def _survey(
    path: Path, clip: Clip, reach: tuple[int, int], watch: _Watch
) -> tuple[list[int], list[list[Patch]], bool]:
    """What moves in a film, a few glances a second, stretch by stretch; and whether the camera moved."""
    step = max(1, round(clip.rate / A_SECOND))
    held: list[tuple[int, Picture]] = []
    numbers: list[int] = []
    seen: list[list[Patch]] = []
    shifts: list[float] = []

    def settle() -> None:
        if len(held) >= 3:
            pictures = [picture for _, picture in held]
            background = background_of(pictures[:: max(1, len(pictures) // FOR_BACKGROUND)])
            numbers.extend(n for n, _ in held)
            seen.extend(patches_of(mask_of(picture, background)) for picture in pictures)
            shifts.extend(
                max(map(abs, shift_between(pictures[0], one))) for one in pictures[:: A_SECOND // 3]
            )
        held.clear()

    for n, picture in glances(path, *reach, step=step, width=GLANCE):
        held.append((n, picture))
        if clip.times[n] - clip.times[held[0][0]] >= STRETCH:
            settle()
        watch.at(0.15 * (n - reach[0]) / max(1, reach[1] - reach[0]))
    settle()
    return numbers, seen, bool(shifts) and float(np.mean(np.array(shifts) > 2)) > 0.25


def _round(clip: Clip, flown: Flown) -> _Stretch:
    """The frames round a flight."""
    start, stop = np.searchsorted(clip.times, [flown.begun - AROUND, flown.ended + AROUND])
    return _Stretch(int(start), int(stop), max(1, round(clip.rate / CLOSE)), flown, None)


def _clicked(clip: Clip, at: tuple[float, float, int], found: list[Flown]) -> _Stretch:
    """The flight nearest to a click; without one, two seconds either way."""
    time, scale = clip.times[at[2]], clip.width / min(GLANCE, clip.width)

    def away(flown: Flown) -> float:
        within = float(np.clip(time, flown.begun, flown.ended))
        x, y = flown.at(within)
        off = float(np.hypot(x * scale - at[0], y * scale - at[1]))
        return off / (scale * flown.length) + 2 * abs(float(time) - within)

    near = [flown for flown in found if away(flown) < 2]
    if near:
        whole = _round(clip, min(near, key=away))
        return _Stretch(whole.start, whole.stop, whole.step, whole.flown, at)
    start, stop = np.searchsorted(clip.times, [time - 2.0, time + 2.0])
    return _Stretch(int(start), int(stop), max(1, round(clip.rate / CLOSE)), None, at)


def _apart(stretches: list[_Stretch]) -> list[_Stretch]:
    """Stretches that touch are cut at their middle, so that no frame is followed twice."""
    out = sorted(stretches, key=lambda one: one.start)
    for n in range(1, len(out)):
        if out[n].start < out[n - 1].stop:
            cut = (out[n].start + out[n - 1].stop) // 2
            out[n - 1] = replace(out[n - 1], stop=cut)
            out[n] = replace(out[n], start=cut)
    return out


def _followed(path: Path, clip: Clip, stretch: _Stretch, model: PoseModel, watch: _Watch) -> Track:
    """Both passes through one stretch."""
    numbers = list(range(stretch.start, stretch.stop, stretch.step))
    hers = _hers(path, clip, stretch, numbers)
    scale = clip.width / min(GLANCE, clip.width)
    silhouette = None if hers is None else witness(hers, scale)
    hints = _hints(hers, silhouette, scale, len(numbers))
    row = {n: k for k, n in enumerate(numbers)}

    def run(pictures: Iterator[tuple[int, Picture]], start: Guess, done: float) -> list[Answer]:
        rows = []
        shown = ((clip.times[n], picture, hints[row[n]]) for n, picture in pictures)
        for found in follow(shown, model, start, height=height):
            rows.append(found)
            watch.at(done + 0.45 * len(rows) / len(numbers))
        return rows

    first, last, height = _seeds(path, clip, stretch, silhouette, model)
    if first is None:  # only the clicked frame is known: from there to the end, to learn where the end is
        assert stretch.click is not None
        begun = min(numbers, key=lambda n: abs(n - stretch.click[2]) if stretch.click else 0)
        last = _from_answer(run(frames(path, begun, stretch.stop, step=stretch.step), last, 0.0)[-1])
    back = run(frames_backward(path, numbers[0], stretch.stop, step=stretch.step), last, 0.1)[::-1]
    first = first or _from_answer(back[0])
    forward = gathered(run(frames(path, numbers[0], stretch.stop, step=stretch.step), first, 0.55))
    backward = gathered(back)
    points, spread, origin, apart = merged(forward, backward, height=height)
    return Track(
        clip.times[numbers],
        np.array(numbers),
        points,
        spread,
        origin,
        apart,
        clip.width,
        clip.height,
        model.name,
        silhouette,
    )


def _hers(path: Path, clip: Clip, stretch: _Stretch, numbers: list[int]) -> list[Patch | None] | None:
    """Her patch in each frame that is followed, where the background stands still."""
    if stretch.flown is None:
        return None
    wide = np.searchsorted(clip.times, clip.times[[stretch.start, stretch.stop - 1]] + np.array([-2.0, 2.0]))
    apart = max(1, int((wide[1] - wide[0]) // FOR_BACKGROUND))
    background = background_of(
        [one for _, one in glances(path, int(wide[0]), int(wide[1]), step=apart, width=GLANCE)]
    )
    flown, hers = stretch.flown, []
    for n, picture in glances(path, stretch.start, stretch.stop, step=stretch.step, width=GLANCE):
        x, y = flown.at(float(np.clip(clip.times[n], flown.begun, flown.ended)))
        hers.append(hers_in(patches_of(mask_of(picture, background)), x, y, length=flown.length))
    assert len(hers) == len(numbers)
    return hers


def _hints(
    hers: list[Patch | None] | None, silhouette: Silhouette | None, scale: float, count: int
) -> list[Hint | None]:
    if hers is None or silhouette is None:
        return [None] * count
    return [
        None
        if patch is None
        else Hint(np.array([patch.x, patch.y]) * scale, float(axis), patch.length > OPEN * patch.breadth)
        for patch, axis in zip(hers, silhouette.axis, strict=True)
    ]


def _seeds(
    path: Path, clip: Clip, stretch: _Stretch, silhouette: Silhouette | None, model: PoseModel
) -> tuple[Guess | None, Guess, float]:
    """Where she is at both ends, and how tall she stands in the picture, px; or nothing, and the clicked frame."""
    if silhouette is not None and stretch.flown is not None:
        height = stretch.flown.length * clip.width / min(GLANCE, clip.width) / WHOLE
        return _standing(silhouette, slice(0, 6)), _standing(silhouette, slice(-1, -7, -1)), height
    assert stretch.click is not None  # without a flight there is a click, or nothing is followed
    x, y, n = stretch.click
    _, picture = next(frames(path, n, n + 1))
    guess, height = sized(picture, model, np.array([x, y]))
    return None, guess, height


def _from_answer(answer: Answer) -> Guess:
    """Where one pass ended, as where the other begins: nothing is known of how fast she turns there."""
    return Guess(pair(answer[0], "hip"), answer[2], np.zeros(2), 0.0)


def _standing(silhouette: Silhouette, rows: slice) -> Guess:
    """She stands at this end of the stretch: her axis there, with her head up."""
    axis, middle = silhouette.axis[rows], silhouette.middle[rows]
    known = np.isfinite(axis)
    if not known.any():
        raise ClipError(
            "no sight of her before or after the jump", "a film that shows the whole jump", "film wider"
        )
    # twice an axis is an angle without a top; the middle of a few, as one of them may be cut by the bed
    return Guess(middle[known][0], float(np.median(wrapped(2 * axis[known])) / 2), np.zeros(2), 0.0)


def _joined(parts: list[Track], clip: Clip, name: str, notes: list[str]) -> Track:
    """Several stretches as one track, in order of time."""
    told = list(notes)
    wrong = [part for part in parts if float(np.mean(part.apart > APART)) > 0.08]
    if wrong:
        told.append(TOLD_APART)
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
    )
