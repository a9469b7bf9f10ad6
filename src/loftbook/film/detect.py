"""Finds the athlete in a film and follows her joints, forward and backward, with a pose model.

First the whole film is glanced through, small and a few times a second: who moves, who falls like a stone. Only the
stretches round a flight that turns are then looked at closely, so a film of minutes costs little more than its jumps.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from loftbook.errors import ClipError, Stopped
from loftbook.film.blazepose import Kind, model_of
from loftbook.film.clip import Clip
from loftbook.film.crops import Picture
from loftbook.film.decode import frames, frames_backward, glances
from loftbook.film.edges import edges_of
from loftbook.film.flying import flights, hers_in
from loftbook.film.following import Answer, Hint, PoseModel, Shown, follow, look, sized
from loftbook.film.merging import Merged, filled, guesses, merged, met
from loftbook.film.own.both import at_times, both_eyes, gathered_own, told_of
from loftbook.film.own.looking import Eyes, Look, follow_own
from loftbook.film.silhouette import (
    Patch,
    background_of,
    chosen_of,
    mask_of,
    patches_of,
    shift_between,
    witness,
)
from loftbook.film.stretch import (
    GLANCE,
    Stretch,
    from_both_ends,
    hints_of,
    joined,
    kept_apart,
    resting,
    round_click,
    round_flight,
    standing,
)
from loftbook.film.track import SecondEyes, Silhouette, Track

Array = NDArray[np.float64]
Progress = Callable[[float], None]
Cancelled = Callable[[], bool]

A_SECOND = 15  # glances for the survey
STRETCH = 10.0  # s of film that share one background
FOR_BACKGROUND = 31
FOR_EDGES, CLOSELY = 15, 1280  # pictures and their width in px, for rims of beds and mats
WAVERS, MOVED = 6.0, 0.08  # of 255, and the share of the picture that wavers so; 0 on the rendered clips
TURNS = np.radians(200)  # a flight that turns less is a plain jump
ENOUGH = (
    0.8  # of the folded frames: so many must our own network be sure of, or the stock model looks there twice
)
WHOLE = 1.32  # four standard deviations of an open body, arms up, over its standing height


@dataclass(frozen=True, eq=False)
class TwoEyes:
    """The stock model and our own network, which look at the same film."""

    stock: Kind | PoseModel
    own: Eyes


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
    model: Kind | PoseModel | TwoEyes = "heavy",
    progress: Progress | None = None,
    cancelled: Cancelled | None = None,
) -> Track:
    """Where her joints are in every frame round her somersaults; who she is, she shows by flying.

    Units
        at : x and y in px of the upright picture and the number of a frame: a click on her hips, where several people
        fly or the camera moves; model : the stock model, or `TwoEyes` with our own
        network beside it; progress : told the share done, 0 to 1; cancelled : asked now and then

    Raises
        ClipError when nobody flies and nobody was clicked; Stopped when `cancelled` says so

    Valid
        side-on film. Without a still camera there is no silhouette, nobody is found without a click, and she has to
        be upright in the clicked frame; a note says so.
    """
    watch = _Watch(progress, cancelled)
    stock, own = (model.stock, model.own) if isinstance(model, TwoEyes) else (model, None)
    reader = model_of(stock) if isinstance(stock, str) else stock
    stretches, notes = _stretches(path, clip, at, watch)
    parts = []
    for n, stretch in enumerate(stretches):
        share = (0.15 + 0.85 * n / len(stretches), 0.85 / len(stretches))
        parts.append(_followed(path, clip, stretch, (reader, own), _Watch(_part(watch, share), cancelled)))
    watch.at(1.0)
    name = reader.name if own is None else f"{reader.name} + {own.card.name}"
    return joined(parts, clip, name, notes)


def _part(watch: _Watch, share: tuple[float, float]) -> Progress:
    """Progress of a part as progress of the whole."""
    return lambda done: watch.at(share[0] + share[1] * done)


def _stretches(
    path: Path, clip: Clip, at: tuple[float, float, int] | None, watch: _Watch
) -> tuple[list[Stretch], list[str]]:
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
        return [round_click(clip, at, found)], notes
    if not found:
        why = "the camera moved" if moved else "nobody in it follows a parabola as a jump does"
        raise ClipError(
            f"no jump that could be found by itself: {why}",
            "a side-on film from a camera that stands still",
            "click on her hips in a frame in which she stands upright, just before take-off",
        )
    turning = [flown for flown in found if abs(flown.turned) > TURNS]
    if turning and len(turning) < len(found):
        others = len(found) - len(turning)
        notes.append(
            f"{others} other {'jump' if others == 1 else 'jumps'}, in which the outline showed no somersault, "
            "not followed: click on her hips in one to have it measured."
        )
    chosen = turning or [max(found, key=lambda flown: flown.last - flown.first)]
    if any(flown.company for flown in chosen):
        notes.append("Somebody else flies at the same time: click on the one that is meant.")
    return kept_apart([round_flight(clip, flown) for flown in chosen]), notes


def _survey(
    path: Path, clip: Clip, reach: tuple[int, int], watch: _Watch
) -> tuple[list[int], list[list[Patch]], bool]:
    """What moves in a film, a few glances a second, stretch by stretch; and whether the camera moved."""
    step = max(1, round(clip.rate / A_SECOND))
    held: list[tuple[int, Picture]] = []
    numbers: list[int] = []
    seen: list[list[Patch]] = []
    shifts: list[float] = []
    changed: list[float] = []

    def settle() -> None:
        if len(held) >= 3:
            pictures = [picture for _, picture in held]
            background = background_of(pictures[:: max(1, len(pictures) // FOR_BACKGROUND)])
            numbers.extend(n for n, _ in held)
            seen.extend(patches_of(mask_of(picture, background)) for picture in pictures)
            shifts.extend(
                max(map(abs, shift_between(pictures[0], one))) for one in pictures[:: A_SECOND // 3]
            )
            changed.append(float(np.mean(background.waver.max(axis=-1) > WAVERS)))
        held.clear()

    for n, picture in glances(path, *reach, step=step, width=GLANCE):
        held.append((n, picture))
        if clip.times[n] - clip.times[held[0][0]] >= STRETCH:
            settle()
        watch.at(0.15 * (n - reach[0]) / max(1, reach[1] - reach[0]))
    settle()
    # a body that fills the picture can look like a shift; a moved camera changes the wall as well
    moved = bool(shifts) and float(np.mean(np.array(shifts) > 2)) > 0.25 and float(np.mean(changed)) > MOVED
    return numbers, seen, moved


def _followed(
    path: Path, clip: Clip, stretch: Stretch, eyes: tuple[PoseModel, Eyes | None], watch: _Watch
) -> Track:
    """Both passes through one stretch, then the frames that they left out near the contacts; and our own network."""
    model, own = eyes
    between = stretch.between(clip)
    numbers = sorted({*stretch.numbers, *between})
    hers = _hers(path, clip, stretch, numbers)
    scale = clip.width / min(GLANCE, clip.width)
    silhouette = None if hers is None else witness(hers, scale)
    said = hints_of(hers, silhouette, clip.times[numbers], stretch, scale)
    hints = dict(zip(numbers, said, strict=True))
    done = [0]

    def shown(pictures: Iterator[tuple[int, Picture]]) -> Iterator[Shown]:
        for n, picture in pictures:
            done[0] += 1
            watch.at(done[0] / ((2 if own is None else 3) * len(numbers)))
            yield float(clip.times[n]), picture, hints.get(n)

    looks = None
    if own is not None and silhouette is not None and stretch.flown is not None:
        start = standing(silhouette, slice(0, 6)).hips
        looks = _own_looks(path, numbers, own, (start, height_of(stretch)), shown)
    once = own is not None and looks is not None and _knows_the_fold(looks, said, own)
    forth, back, height = _both(path, stretch, silhouette, model, (hints, shown, once))
    if own is not None and looks is None:
        looks = _own_looks(path, numbers, own, (forth[0].guess.hips, height), shown)
    forward, backward = met(forth, back)
    found = merged(forward, backward, height=height)
    coarse = np.searchsorted(clip.times, forward.times - 1e-9)
    if between:
        found, coarse = _with_between(path, clip, between, (model, shown), (forward.times, found, height))
    second: SecondEyes | None = None
    notes: list[str] = []
    if own is not None and looks:
        seen = at_times(gathered_own(looks), clip.times[coarse])
        found, second = both_eyes(found, seen, own.card, height=height)
        notes = told_of(seen)
    return Track(
        clip.times[coarse],
        coarse.astype(np.int64),
        found.points,
        found.spread,
        found.origin,
        found.apart,
        clip.width,
        clip.height,
        model.name,
        None if silhouette is None else chosen_of(silhouette, np.searchsorted(numbers, coarse)),
        notes=tuple(notes),
        edges=None if hers is None else still_edges(path, clip, (stretch.start, stretch.stop)),
        second=second,
    )


def _with_between(
    path: Path,
    clip: Clip,
    between: list[int],
    eyes: tuple[PoseModel, Callable[[Iterator[tuple[int, Picture]]], Iterator[Shown]]],
    followed: tuple[Array, Merged, float],
) -> tuple[Merged, NDArray[np.int64]]:
    """What both passes found, with the frames that they left out near the contacts, and the numbers of all."""
    model, shown = eyes
    times, found, height = followed
    wanted = set(between)
    pictures = (one for one in frames(path, between[0], between[-1] + 1) if one[0] in wanted)
    guess = guesses(times, found.points)
    more = [
        (float(time), *look(picture, model, guess(time), height=height))
        for time, picture, _ in shown(pictures)
    ]
    numbers = np.searchsorted(clip.times, np.concatenate([times, [m[0] for m in more]]) - 1e-9)
    return filled(times, found, more, height=height), np.sort(numbers)


def _own_looks(
    path: Path,
    numbers: list[int],
    own: Eyes,
    begins: tuple[Array, float],
    shown: Callable[[Iterator[tuple[int, Picture]]], Iterator[Shown]],
) -> list[Look]:
    """Our own network's way through the frames, from where she is at first and how tall she stands, px."""
    wanted = set(numbers)
    pictures = (one for one in frames(path, numbers[0], numbers[-1] + 1) if one[0] in wanted)
    start, height = begins
    return list(follow_own(shown(pictures), own, start, height=height))


def _knows_the_fold(looks: list[Look], hints: list[Hint | None], own: Eyes) -> bool:
    """Whether our own network is sure of itself in most frames in which her silhouette is short."""
    folded = [one for one, hint in zip(looks, hints, strict=False) if hint is not None and hint.folded]
    return bool(folded) and float(np.mean([one.confidence >= own.card.threshold for one in folded])) > ENOUGH


def still_edges(path: Path, clip: Clip, reach: tuple[int, int]) -> Array:
    """What lies in the still background round some frames: where a bed or a mat may be found.

    Units
        reach : first frame and the one after the last; answer as `film.edges.edges_of` gives it
    """
    wide = np.searchsorted(clip.times, clip.times[[reach[0], reach[1] - 1]] + np.array([-2.0, 2.0]))
    apart = max(1, int((wide[1] - wide[0]) // FOR_EDGES))
    still = glances(path, int(wide[0]), int(wide[1]), step=apart, width=CLOSELY)
    background = np.median(np.stack([picture for _, picture in still]), axis=0).astype(np.float32)
    return edges_of(background, scale=clip.width / background.shape[1])


def _both(
    path: Path,
    stretch: Stretch,
    silhouette: Silhouette | None,
    model: PoseModel,
    seen: tuple[dict[int, Hint | None], Callable[[Iterator[tuple[int, Picture]]], Iterator[Shown]], bool],
) -> tuple[list[Answer], list[Answer], float]:
    """The pass forward, the pass backward, and how tall she stands in px.

    `seen` holds what her silhouette says, how a frame is shown, and whether one pass is enough in the fold.
    """
    hints, shown, once = seen
    numbers, span, step = stretch.numbers, (stretch.start, stretch.stop), stretch.step
    ahead, behind = shown(frames(path, *span, step=step)), shown(frames_backward(path, *span, step=step))
    if silhouette is not None and stretch.flown is not None:
        height = height_of(stretch)
        forth, back = from_both_ends(
            ahead,
            behind,
            [hints[n] for n in numbers],
            (standing(silhouette, slice(0, 6)), standing(silhouette, slice(-1, -7, -1))),
            lambda pictures, start, course: follow(pictures, model, start, height=height, course=course),
            once=once,
        )
        return forth, back, height
    assert stretch.click is not None  # without a flight there is a click, or nothing is followed
    x, y, clicked = stretch.click
    begun = numbers[min(len(numbers) - 1, max(0, clicked - stretch.start) // step)]
    _, picture = next(frames(path, begun, begun + 1))
    guess, height = sized(picture, model, np.array([x, y]))
    # only the clicked frame is known: first from there to the end, to learn where the end is
    *_, end = follow(shown(frames(path, begun, stretch.stop, step=step)), model, guess, height=height)
    back = list(follow(behind, model, resting(end.guess), height=height))
    forth = list(follow(ahead, model, resting(back[-1].guess), height=height))
    return forth, back, height


def height_of(stretch: Stretch) -> float:
    """How tall she stands, px, by the length of her silhouette in the air."""
    assert stretch.flown is not None
    return stretch.flown.length * stretch.scale / WHOLE


def _hers(path: Path, clip: Clip, stretch: Stretch, numbers: list[int]) -> list[Patch | None] | None:
    """Her patch in each frame that is followed, where the background stands still."""
    flown = stretch.flown
    if flown is None:
        return None
    wide = np.searchsorted(clip.times, clip.times[[stretch.start, stretch.stop - 1]] + np.array([-2.0, 2.0]))
    apart = max(1, int((wide[1] - wide[0]) // FOR_BACKGROUND))
    still = glances(path, int(wide[0]), int(wide[1]), step=apart, width=GLANCE)
    background = background_of([picture for _, picture in still])
    wanted, hers = set(numbers), dict[int, Patch | None]()
    for n, picture in glances(path, stretch.start, stretch.stop, width=GLANCE):
        if n in wanted:
            x, y = flown.at(float(np.clip(clip.times[n], flown.begun, flown.ended)))
            hers[n] = hers_in(patches_of(mask_of(picture, background)), x, y, length=flown.length)
    return [hers.get(n) for n in numbers]
