"""Try the detectors on clips whose truth is known, or on the frames that people of this book clicked."""

from __future__ import annotations

import json
from collections.abc import Iterable, Sequence
from dataclasses import asdict, dataclass, replace
from math import isfinite
from pathlib import Path
from typing import Any

from loftbook.book.films import points_in_force
from loftbook.desk import Desk
from loftbook.desk.film.answers import films_answer
from loftbook.desk.film.engine import REAL
from loftbook.desk.film.eyes import BESIDE, own_card
from loftbook.desk.film.measuring import given_of
from loftbook.desk.film.places import clip_files
from loftbook.desk.film.port import Click, Engine, Given, Progress, named
from loftbook.errors import ClipError, LoftbookError, RangeError
from loftbook.film.clip import Clip
from loftbook.film.guided import CLICKED
from loftbook.film.track import BY_MODEL, COLUMN, MIDDLES, Track
from loftbook.film.trial import Said, Score, Truth, pooled, said_by, said_by_own, score_of, truth_of
from loftbook.store import clips
from loftbook.units import degree

DETECTORS = ("heavy", "full", "lite", "own", "both")
USUAL = ("heavy", "lite", "own", "both")
FILMS = (".mp4", ".mov", ".mkv", ".avi", ".webm")
TRUTHS = (".truth.json", ".clicks.json")
# What the combination has to reach before it is on by itself: shares of frames, and degrees.
USABLE, WRONG, ANGLE = 0.95, 0.01, 5.0
WORSE = 0.05  # °: less than this is how the two are rounded


#: What the table has for one detector on one clip; the command line prints it.
Line = Score


@dataclass(frozen=True)
class Trial:
    """How the detectors did: each on each clip, and over all clips of a shape.

    `sentences` say whether the combination reached its targets, and what was left out and why.
    """

    scores: tuple[Score, ...]
    shapes: tuple[Score, ...]
    sentences: tuple[str, ...]
    reached: bool | None  # None where the combination was not tried

    @property
    def told(self) -> dict[str, Any]:
        """As plain values."""
        return {
            "scores": [_plain(one) for one in self.scores],
            "shapes": [_plain(one) for one in self.shapes],
            "sentences": list(self.sentences),
            "reached": self.reached,
        }


def _plain(score: Score) -> dict[str, Any]:
    """A score as values that JSON can hold; what is not known is None."""
    told = asdict(score)
    return {
        name: None if isinstance(value, float) and not isfinite(value) else value
        for name, value in told.items()
    }


@dataclass(frozen=True)
class _Case:
    """A clip to try them on: the film, where to click, what is known of it and what people said."""

    film: Path
    at: Click | None
    truth: Truth
    given: Given


def one_of(folder: Path | None, *, corrected: bool) -> Path | None:
    """The folder to try them on, None for this book's clicked frames; RangeError where neither or both were named."""
    if (folder is None) != corrected:
        told = "neither a folder nor --corrected" if folder is None else "a folder and --corrected"
        raise RangeError(told, "one of the two", "name a folder of films, or say --corrected")
    return folder


def judge_folder(
    folder: Path, detectors: str = "", *, progress: Progress = lambda _: None, engine: Engine = REAL
) -> Trial:
    """Tries the detectors on every clip of a folder beside which its truth lies.

    Truth is NAME.truth.json, as a renderer writes it, or NAME.clicks.json, frames that somebody clicked.
    """
    cases = [_Case(film, None, truth_of(_read(truth), film.name), Given()) for film, truth in _pairs(folder)]
    return _tried(cases, _wanted(detectors), progress, engine)


def judge_corrected(
    desk: Desk, detectors: str = "", *, progress: Progress = lambda _: None, engine: Engine = REAL
) -> Trial:
    """Tries the detectors anew on the frames that people of this book clicked.

    The clicks lie with their film: they are used while its consent holds, and go when it is deleted. Nothing is copied.
    """
    cases = []
    for line in films_answer(desk).lines:
        if line.withheld:
            continue
        with desk.store.read() as connection:
            facts = clips.facts(connection, line.film.id)
        truth = _clicked_truth(facts.points, line.film.name)
        if truth is None:
            continue
        film = clip_files(desk, line.film.id).original
        at = Click(**facts.said["at"]) if "at" in facts.said else None
        given = replace(given_of(facts, engine.read(film), line.athlete), points=())
        cases.append(_Case(film, at, replace(truth, clip=line.film.name), given))
    if not cases:
        raise ClipError(
            "no film of this book in which somebody clicked shoulder, hip, knee and ankle",
            "at least one such frame, in a film whose consent holds",
            "click the frames that are proposed on a film’s page",
        )
    return _tried(cases, _wanted(detectors), progress, engine)


def _clicked_truth(points: Iterable[Any], name: str) -> Truth | None:
    frames: dict[int, dict[str, tuple[float, float]]] = {}
    for point in points_in_force(tuple(points)):
        if point.joint in CLICKED and point.x is not None and point.y is not None:
            frames.setdefault(point.frame, {})[point.joint] = (point.x, point.y)
    whole = [{"frame": frame, **places} for frame, places in frames.items() if len(places) == len(CLICKED)]
    return truth_of({"clicked": whole}, name) if whole else None


def _pairs(folder: Path) -> list[tuple[Path, Path]]:
    """Films and the truth that lies beside each."""
    try:
        names = sorted(folder.iterdir())
    except OSError as error:
        raise ClipError(
            f"no folder that can be read at {folder} ({error.strerror})",
            "a folder with films",
            "check the name",
        ) from None
    films = [one for one in names if one.suffix.lower() in FILMS]
    pairs = [
        (film, truth)
        for film in films
        for end in TRUTHS
        if (truth := film.with_name(film.stem + end)).is_file()
    ]
    if not pairs:
        raise ClipError(
            f"{len(films)} films in {folder} and no truth beside any of them",
            "NAME.truth.json or NAME.clicks.json beside NAME.mp4",
            "see docs/guide/film-detector.md for the form",
        )
    return pairs


def _read(path: Path) -> dict[str, Any]:
    try:
        told = json.loads(path.read_text(encoding="utf-8"))
    except (OSError, ValueError) as trouble:
        raise ClipError(
            f"{path.name}, which is no JSON ({str(trouble)[:80]})", "a truth of a clip", "write it again"
        ) from None
    if not isinstance(told, dict):
        raise ClipError(f"{path.name}, which holds a {type(told).__name__}", "an object", "write it again")
    return told


def _wanted(detectors: str) -> tuple[str, ...]:
    asked = tuple(word.strip() for word in detectors.split(",") if word.strip()) or USUAL
    strange = [word for word in asked if word not in DETECTORS]
    if strange:
        raise RangeError(
            f"the detector {strange[0][:40]!r}", f"some of {', '.join(DETECTORS)}", "choose with --with"
        )
    return asked


def _tried(cases: Sequence[_Case], wanted: Sequence[str], progress: Progress, engine: Engine) -> Trial:
    card = own_card()
    left_out = []
    if card is None and {"own", "both"} & set(wanted):
        left_out.append("Our own network is not beside the program: it was not tried, nor the combination.")
        wanted = [name for name in wanted if name not in ("own", "both")]
    runs = [name for name in wanted if name not in ("own", "both")]
    if len(runs) < len(wanted):
        runs.append("both")
    scores: list[Score] = []
    for n, case in enumerate(cases):
        for k, run in enumerate(runs):
            done, share = (n + k / len(runs)) / len(cases), 1 / (len(cases) * len(runs))

            def told(part: float, done: float = done, share: float = share) -> None:
                progress(done + share * part)

            try:
                scores += _one(case, run, wanted, told, engine)
            except LoftbookError as error:
                left_out.append(f"{case.truth.clip}, {run}: {error.sentence()}")
    if not scores:
        raise ClipError(
            "no clip that any detector could follow: " + " ".join(left_out), "", "look at the films"
        )
    shapes = _by_shape(scores)
    reached, words = _reached(shapes)
    order = {name: n for n, name in enumerate(DETECTORS)}
    ordered = tuple(sorted(scores, key=lambda one: (one.clip, order[one.detector])))
    return Trial(ordered, shapes, (*words, *left_out), reached)


def _one(case: _Case, run: str, wanted: Sequence[str], told: Progress, engine: Engine) -> list[Score]:
    """One run of a detector over one clip, scored; of both pairs of eyes together our own alone as well."""
    clip = engine.read(case.film)
    track = engine.track(
        case.film, clip, case.at, "heavy" + BESIDE if run == "both" else run, told, lambda: False
    )
    found = []
    if run in wanted:
        found.append(_with_readings(said_by(track, case.truth, run), clip, track, case.given, engine))
    card = own_card()
    if run == "both" and "own" in wanted and card is not None and track.second is not None:
        said = said_by_own(track, case.truth, "own", threshold=card.threshold)
        found.append(_with_readings(said, clip, own_alone(track), case.given, engine))
    return [score_of(said, case.truth) for said in found]


def own_alone(track: Track) -> Track:
    """A track of what our own network saw and nothing else."""
    import numpy as np

    assert track.second is not None
    points, spread = np.full_like(track.points, np.nan), np.full_like(track.spread, np.nan)
    origin = np.zeros_like(track.origin)
    for n, joint in enumerate(MIDDLES):
        columns = [COLUMN[f"left_{joint}"], COLUMN[f"right_{joint}"]]
        points[:, columns] = track.second.middles[:, None, n]
        spread[:, columns], origin[:, columns] = track.second.spread[:, n, None], BY_MODEL
    name = track.second.name
    return replace(track, points=points, spread=spread, origin=origin, second=None, detector=name)


def _with_readings(said: Said, clip: Clip, track: Track, given: Given, engine: Engine) -> Said:
    """The same with how far she turned and how long she flew, by what the detector saw."""
    readings = engine.measure(clip, track, given).readings

    def value(name: str) -> float | None:
        found = named(readings, name)
        return float(found.value) if found is not None and isinstance(found.value, (int, float)) else None

    turned = value("rotation")
    return replace(
        said, turned=None if turned is None else turned * degree, flight_time=value("time of flight")
    )


def _by_shape(scores: Sequence[Score]) -> tuple[Score, ...]:
    found = []
    for detector in DETECTORS:
        for shape in sorted({one.shape for one in scores}):
            hers = [one for one in scores if (one.detector, one.shape) == (detector, shape)]
            if hers:
                found.append(pooled(hers, f"all of {shape or 'no named shape'}"))
    return tuple(found)


def _reached(shapes: Sequence[Score]) -> tuple[bool | None, list[str]]:
    """Whether the combination reached its targets in every shape, and a sentence for each that it missed."""
    both = [one for one in shapes if one.detector == "both"]
    stock = {one.shape: one for one in shapes if one.detector == "heavy"}
    if not both:
        return None, []
    missed = [
        f"{one.shape or 'clips without a named shape'}: {words}."
        for one in both
        for words in _missed(one, stock)
    ]
    if missed:
        return False, ["The combination did not reach its targets:", *missed]
    return True, ["The combination reached its targets in every shape that was tried."]


def _missed(one: Score, stock: dict[str, Score]) -> list[str]:
    told = []
    if not one.usable >= USABLE:
        told.append(f"{100 * one.usable:.1f} % usable, wanted {100 * USABLE:.0f} %")
    if one.wrong is not None and not one.wrong < WRONG:
        told.append(f"{100 * one.wrong:.1f} % wrong of those it is sure of, wanted under {100 * WRONG:.0f} %")
    told += [
        f"{name} {value:.1f}° off, wanted {ANGLE:.0f}°"
        for name, value in (("hip", one.hip), ("knee", one.knee))
        if not value <= ANGLE
    ]
    other = stock.get(one.shape)
    for name in ("hip_open", "knee_open"):
        mine, theirs = getattr(one, name), None if other is None else getattr(other, name)
        if mine is not None and theirs is not None and mine > theirs + WORSE:
            told.append(
                f"{name.partition('_')[0]} while open {mine:.1f}°, the stock model alone {theirs:.1f}°"
            )
    return told
