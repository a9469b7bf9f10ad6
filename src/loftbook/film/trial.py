"""Detectors on trial: what each said of a clip, held against its truth or against frames that somebody clicked."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from loftbook.errors import ClipError
from loftbook.film.track import Array, Flags, Track
from loftbook.units import degree

FOUR = ("shoulder", "hip", "knee", "ankle")
USABLE = 0.35  # of the trunk: all four middles within it; the measure of shared facts and of earlier tables
FOLDED = 60 * degree  # a true hip bent by more
COVERAGES = (1.0, 0.95, 0.9, 0.8)


@dataclass(frozen=True, eq=False)
class Truth:
    """What is known of a clip.

    Units
        frames : (M,) of the clip, those in the air; middles : (M, 4, 2) px of `FOUR`; shape : its name, "" unknown
        turned : rad between the contacts, flight_time : s, None where nobody knows; by_hand : whether it was clicked
    """

    clip: str
    shape: str
    frames: NDArray[np.int64]
    middles: Array
    turned: float | None
    flight_time: float | None
    by_hand: bool


@dataclass(frozen=True, eq=False)
class Said:
    """What a detector said in the frames of the truth.

    Units
        middles : (M, 4, 2) px, NaN where it said nothing; sure : (M,) whether it wants to be believed
        trust : (M,) larger is surer; turned : rad, flight_time : s, as measured with it, None where it could not be
    """

    detector: str
    middles: Array
    sure: Flags
    trust: Array
    turned: float | None = None
    flight_time: float | None = None


@dataclass(frozen=True)
class Score:
    """One detector on one clip, or on all of a shape.

    Units
        shares from 0 to 1 of the frames; hip, knee, trunk : °, mean error; `_folded`, `_open` : where the true hip is
        bent by more than 60° or not; kept : frames it is sure of; wrong : of those, not usable
        turned, flight_time : found and true, ° and s; risk : share not usable of the surest 100, 95, 90 and 80 %
    """

    detector: str
    clip: str
    shape: str
    frames: int
    folded: int
    usable: float
    usable_folded: float | None
    hip: float
    knee: float
    trunk: float
    hip_open: float | None
    knee_open: float | None
    kept: float
    wrong: float | None
    turned: tuple[float | None, float | None]
    flight_time: tuple[float | None, float | None]
    risk: tuple[float, ...]


def truth_of(told: Mapping[str, Any], clip: str) -> Truth:
    """The truth of a clip as a renderer or somebody with a mouse wrote it down.

    Units
        of a renderer: `keypoints`, `frames` with `time_s`, `keypoints_px`, `somersault_deg`; `flight_time_s`, `shape`;
        by hand: `clicked`, a list of `frame` with `shoulder`, `hip`, `knee` and `ankle` in px, each the middle of left
        and right

    Raises
        ClipError when it is neither

    Example
        >>> one = {"frame": 3, "shoulder": [0, 0], "hip": [0, 50], "knee": [0, 90], "ankle": [0, 130]}
        >>> truth_of({"clicked": [one]}, "a.mp4").frames.tolist()
        [3]
    """
    try:
        return _clicked(told, clip) if "clicked" in told else _rendered(told, clip)
    except (KeyError, TypeError, ValueError, IndexError) as trouble:
        raise ClipError(
            f"a truth of {clip} that cannot be read ({type(trouble).__name__}: {str(trouble)[:80]})",
            "the form of a rendered clip, or a list `clicked` of frames with shoulder, hip, knee and ankle",
            "see docs/guide/film-detector.md",
        ) from None


def _rendered(told: Mapping[str, Any], clip: str) -> Truth:
    rows, names = told["frames"], list(told["keypoints"])
    times = np.array([row["time_s"] for row in rows], dtype=float)
    points = np.array([row["keypoints_px"] for row in rows], dtype=float)
    flight = float(told["flight_time_s"])
    middles = [
        (points[:, names.index(f"left_{joint}")] + points[:, names.index(f"right_{joint}")]) / 2
        for joint in FOUR
    ]
    angle = np.array([row["somersault_deg"] for row in rows], dtype=float)
    start, end = np.interp([0.0, flight], times, angle) * degree
    air = np.flatnonzero((times >= 0) & (times <= flight)).astype(np.int64)
    return Truth(
        clip,
        str(told.get("shape", "")),
        air,
        np.stack(middles, axis=1)[air],
        float(end - start),
        flight,
        by_hand=False,
    )


def _clicked(told: Mapping[str, Any], clip: str) -> Truth:
    rows = sorted(told["clicked"], key=lambda row: int(row["frame"]))
    if not rows:
        raise ValueError("no clicked frame")
    middles = np.array([[row[joint] for joint in FOUR] for row in rows], dtype=float)
    if middles.shape != (len(rows), len(FOUR), 2) or not np.isfinite(middles).all():
        raise ValueError("a point that is no pair of numbers")
    turned, flight = told.get("rotation_deg"), told.get("flight_time_s")
    return Truth(
        clip,
        str(told.get("shape", "")),
        np.array([int(row["frame"]) for row in rows], dtype=np.int64),
        middles,
        None if turned is None else float(turned) * degree,
        None if flight is None else float(flight),
        by_hand=True,
    )


def said_by(track: Track, truth: Truth, detector: str) -> Said:
    """What a track says in the frames of a truth.

    Units
        px; a frame that was not followed is NaN and not sure
    """
    rows = {int(frame): n for n, frame in enumerate(track.frames)}
    at = np.array([rows.get(int(frame), -1) for frame in truth.frames])
    there = at >= 0
    middles = np.stack([track.middle(joint) for joint in FOUR], axis=1)[at]
    sure = ~track.quarrels[at] & there
    agreed = 1 - np.clip(np.nan_to_num(track.apart, nan=0.0), 0, 1)
    if track.second is not None:
        seen = track.second
        own = np.where(seen.used, seen.confidence, agreed)
        agreed = np.where(seen.sure, own, own - 1)
    return Said(
        detector, np.where(there[:, None, None], middles, np.nan), sure, np.where(there, agreed[at], -1.0)
    )


def said_by_own(track: Track, truth: Truth, detector: str, *, threshold: float) -> Said:
    """What our own network alone says, out of a track that both pairs of eyes made."""
    assert track.second is not None
    rows = {int(frame): n for n, frame in enumerate(track.frames)}
    at = np.array([rows.get(int(frame), -1) for frame in truth.frames])
    there = at >= 0
    middles = np.where(there[:, None, None], track.second.middles[at, : len(FOUR)], np.nan)
    trust = np.where(there, track.second.confidence[at], -1.0)
    return Said(detector, middles, trust >= threshold, trust)


def score_of(said: Said, truth: Truth) -> Score:
    """How a detector did on one clip.

    Example
        >>> one = {"frame": 3, "shoulder": [0, 0], "hip": [0, 50], "knee": [0, 90], "ankle": [0, 130]}
        >>> truth = truth_of({"clicked": [one]}, "a.mp4")
        >>> right = Said("right", truth.middles, np.array([True]), np.array([1.0]))
        >>> score_of(right, truth).usable, score_of(right, truth).hip
        (1.0, 0.0)
    """
    trunk = float(np.median(np.linalg.norm(truth.middles[:, 0] - truth.middles[:, 1], axis=1)))
    off = np.linalg.norm(said.middles - truth.middles, axis=2)
    usable = (np.nan_to_num(off, nan=np.inf) <= USABLE * trunk).all(axis=1)
    folded = np.pi - bend(truth.middles, 0, 1, 2) > FOLDED
    hip = np.abs(bend(said.middles, 0, 1, 2) - bend(truth.middles, 0, 1, 2)) / degree
    knee = np.abs(bend(said.middles, 1, 2, 3) - bend(truth.middles, 1, 2, 3)) / degree
    lean = _direction(said.middles) - _direction(truth.middles)
    lean = np.abs((lean + np.pi) % (2 * np.pi) - np.pi) / degree
    surest = np.argsort(-said.trust, kind="stable")
    kept = [surest[: max(1, round(share * len(surest)))] for share in COVERAGES]
    return Score(
        detector=said.detector,
        clip=truth.clip,
        shape=truth.shape,
        frames=len(usable),
        folded=int(folded.sum()),
        usable=float(usable.mean()),
        usable_folded=_mean(usable[folded].astype(float)),
        hip=_or_nothing(_mean(hip)),
        knee=_or_nothing(_mean(knee)),
        trunk=_or_nothing(_mean(lean)),
        hip_open=_mean(hip[~folded]),
        knee_open=_mean(knee[~folded]),
        kept=float(said.sure.mean()),
        wrong=_mean(~usable[said.sure]),
        turned=(_in_degrees(said.turned), _in_degrees(truth.turned)),
        flight_time=(said.flight_time, truth.flight_time),
        risk=tuple(float(np.mean(~usable[rows])) for rows in kept),
    )


def pooled(scores: Sequence[Score], name: str) -> Score:
    """Several clips of one detector as one, each frame counting once."""
    frames = np.array([one.frames for one in scores], dtype=float)
    folded = np.array([one.folded for one in scores], dtype=float)
    kept = frames * np.array([one.kept for one in scores])

    def of(weights: Array, values: Sequence[float | None]) -> float | None:
        known = np.array([value is not None and w > 0 for value, w in zip(values, weights, strict=True)])
        if not known.any():
            return None
        numbers = np.array([0.0 if value is None else value for value in values])
        return float((weights[known] * numbers[known]).sum() / weights[known].sum())

    return Score(
        detector=scores[0].detector,
        clip=name,
        shape=scores[0].shape if len({one.shape for one in scores}) == 1 else "",
        frames=int(frames.sum()),
        folded=int(folded.sum()),
        usable=_or_nothing(of(frames, [one.usable for one in scores])),
        usable_folded=of(folded, [one.usable_folded for one in scores]),
        hip=_or_nothing(of(frames, [one.hip for one in scores])),
        knee=_or_nothing(of(frames, [one.knee for one in scores])),
        trunk=_or_nothing(of(frames, [one.trunk for one in scores])),
        hip_open=of(frames - folded, [one.hip_open for one in scores]),
        knee_open=of(frames - folded, [one.knee_open for one in scores]),
        kept=float(kept.sum() / frames.sum()),
        wrong=of(kept, [one.wrong for one in scores]),
        turned=(None, None),
        flight_time=(None, None),
        risk=tuple(_or_nothing(of(frames, [one.risk[n] for one in scores])) for n in range(len(COVERAGES))),
    )


def bend(middles: Array, one: int, at: int, other: int) -> Array:
    """The opening angle at a joint, (N,) rad, π is straight."""
    a, b = middles[:, one] - middles[:, at], middles[:, other] - middles[:, at]
    cross = a[:, 0] * b[:, 1] - a[:, 1] * b[:, 0]
    return np.asarray(np.arctan2(np.abs(cross), (a * b).sum(axis=1)))


def _direction(middles: Array) -> Array:
    trunk = middles[:, 0] - middles[:, 1]
    return np.asarray(np.arctan2(-trunk[:, 0], -trunk[:, 1]))


def _mean(values: Array | Flags) -> float | None:
    numbers = np.asarray(values, dtype=float)
    numbers = numbers[np.isfinite(numbers)]
    return float(numbers.mean()) if len(numbers) else None


def _or_nothing(value: float | None) -> float:
    return float("nan") if value is None else value


def _in_degrees(value: float | None) -> float | None:
    return None if value is None else value / degree
