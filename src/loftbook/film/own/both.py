"""The two pairs of eyes as one track: the stock model's where she is open, our own network's where she is folded.

The stock model knows upright people and is at its best while she is open. Folded it guesses, both ways alike and with
high scores. Our own network was taught folded bodies and says how likely each place is. A frame is trusted where the
one that is used is sure of itself and the other does not contradict it.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from loftbook.film.course import piked
from loftbook.film.following import TRUNK, pair, same_sides
from loftbook.film.merging import ALWAYS, IN_PIKE, WHEN_FOLDED, Merged
from loftbook.film.own.card import Card
from loftbook.film.own.looking import Look
from loftbook.film.own.maps import FOUR
from loftbook.film.track import (
    BY_MODEL,
    COLUMN,
    LARGEST_APART,
    MIDDLES,
    MISSING,
    Array,
    Flags,
    SecondEyes,
)

# One standard deviation of a middle's error along either axis: a share of the standing height that is always there, and
# a share of the width of its map. The larger of what drawn scenes that no lesson used show (training.spreads) and, but
# for pikes, rendered clips: a best case either way.
OWN_OPEN = np.array([0.009, 0.009, 0.010, 0.010, 0.024, 0.030])
OWN_FOLDED = np.array([0.010, 0.013, 0.018, 0.014, 0.019, 0.024])
OWN_PIKED = np.array([0.010, 0.013, 0.018, 0.014, 0.020, 0.027])
OWN_OF_MAP = 0.25
OF_QUARREL = 0.5  # of the distance to the other eyes, where the frame is not sure
FROM_BEND = np.radians(
    45
)  # of the hip: she is folded, for the eyes that are used; a little before she is held so
FAIR = 0.7  # of the confidence: from here it is rather used in the fold than the stock model, and not yet trusted
OPEN_APART = 0.25  # of the trunk: two who both see an open body well lie nearer than that
LIMBS, LEAST_OPEN = (
    0.25,
    5,
)  # of the logarithm of thigh over shank; 0.21 was the most on 95 % of a rendered tuck's frames
NEXT_TO = 2  # frames over which one pair of eyes gives way to the other
SIDES_APART = 0.6  # of the trunk: left and right further from their middle are not told apart at all


@dataclass(frozen=True, eq=False)
class OwnPass:
    """What our own network saw through a stretch, in the order of time, as `Look` and `Seen` tell it."""

    times: Array
    middles: Array
    spread: Array
    points: Array
    confidence: Array
    stray: Flags


def gathered_own(looks: Sequence[Look]) -> OwnPass:
    """The looks of one way through the film as arrays."""
    rows = sorted(looks, key=lambda look: look.time)
    return OwnPass(
        np.array([row.time for row in rows]),
        np.stack([row.seen.middles for row in rows]),
        np.stack([row.seen.spread for row in rows]),
        np.stack([row.seen.points for row in rows]),
        np.array([row.confidence for row in rows]),
        np.array([row.stray for row in rows]),
    )


def at_times(own: OwnPass, times: Array) -> OwnPass:
    """The rows of a pass at some of its times."""
    n = np.abs(own.times[None] - np.asarray(times)[:, None]).argmin(axis=1)
    return OwnPass(
        own.times[n], own.middles[n], own.spread[n], own.points[n], own.confidence[n], own.stray[n]
    )


def bend_of(middles: Array) -> Array:
    """By how much the thighs are folded onto the trunk, (N,) rad; 0 straight.

    Units
        middles : (N, 6, 2) px in the order of `MIDDLES`
    """
    trunk, thigh = middles[:, 0] - middles[:, 1], middles[:, 2] - middles[:, 1]
    cross = trunk[:, 0] * thigh[:, 1] - trunk[:, 1] * thigh[:, 0]
    bend: Array = np.pi - np.abs(np.arctan2(cross, (trunk * thigh).sum(axis=1)))
    return bend


def both_eyes(stock: Merged, own: OwnPass, card: Card, *, height: float) -> tuple[Merged, SecondEyes]:
    """A track from both pairs of eyes, and what the second saw.

    Units
        stock, own : of the same frames; height : px of the standing body

    Valid
        the stock passes' distance may be unknown in the fold, where one pass was enough
    """
    other = _middles(stock.points)
    known = np.isfinite(other[:, :FOUR]).all(axis=(1, 2))
    away = np.linalg.norm(own.middles - other, axis=2)
    lengths = np.linalg.norm(own.middles[:, 0] - own.middles[:, 1], axis=1)
    trunk = float(np.clip(np.median(lengths), 0.8 * TRUNK * height, 1.25 * TRUNK * height))
    quarrel = np.where(known, np.nan_to_num(away[:, :FOUR]).max(axis=1) / trunk, np.inf)
    believed, fair = own.confidence >= card.threshold, own.confidence >= min(FAIR, card.threshold)
    stock_sure = known & (np.nan_to_num(stock.apart, nan=0.0) <= LARGEST_APART)
    folded = _lasting(np.where(fair, bend_of(own.middles), np.nan_to_num(bend_of(other)))) > FROM_BEND
    used = fair & (folded | ~stock_sure)
    agree = known & (np.nan_to_num(away[:, :FOUR]) <= _allowed(own.middles) * trunk).all(axis=1)
    whole = agree & _keeps_limbs(own.middles, believed)
    sure = np.where(used, whole & believed, ~folded & stock_sure & (agree | ~believed))
    spread = np.hypot(_always(own.middles) * height, OWN_OF_MAP * own.spread)
    spread = np.where(sure[:, None], spread, np.hypot(spread, OF_QUARREL * np.nan_to_num(away)))
    share: Array = np.where(agree & fair, _eased(used), used.astype(np.float64))
    weight = np.where(
        (share > 0)[:, None], share[:, None] * _weights(stock.spread, spread, agree & fair), 0.0
    )
    middles = weight[..., None] * own.middles + (1 - weight[..., None]) * np.nan_to_num(other)
    second = SecondEyes(
        _short(own.middles, 2),
        _short(spread, 2),
        _short(own.confidence, 4),
        _short(quarrel, 4),
        share > 0,
        sure,
        card.name,
    )
    return _taken(stock, own, (second, middles), height), second


def _allowed(middles: Array) -> Array:
    """How far the two may name a middle apart without contradicting each other, (N, 4) shares of the trunk.

    While she is open less, as both see her well; in a pike more for knees and ankles, which the stock model guesses.
    """
    bend = bend_of(middles)
    pike = piked(np.pi - bend, np.pi - _knee(middles))
    guessed = np.array([IN_PIKE.get(joint, 0.0) for joint in MIDDLES[:FOUR]]) / TRUNK
    usual = np.where(bend > FROM_BEND, LARGEST_APART, OPEN_APART)[:, None]
    return np.where(pike[:, None], LARGEST_APART + guessed, usual)


def _keeps_limbs(middles: Array, believed: Flags) -> Flags:
    """In which frames thigh and shank are to each other as where she is open, (N,).

    Valid
        where fewer than five open frames are believed nothing is known, and nothing is held against a frame

    Source
        law: limbs keep their length; both are shortened alike by a camera that is not square to them
    """
    thigh = np.linalg.norm(middles[:, 1] - middles[:, 2], axis=1)
    shank = np.linalg.norm(middles[:, 2] - middles[:, 3], axis=1)
    ratio = np.log(np.maximum(thigh, 1e-9) / np.maximum(shank, 1e-9))
    open_ones = believed & (bend_of(middles) < FROM_BEND)
    if open_ones.sum() < LEAST_OPEN:
        return np.ones(len(middles), dtype=bool)
    return np.asarray(np.abs(ratio - np.median(ratio[open_ones])) < LIMBS)


def _always(middles: Array) -> Array:
    """The part of a middle's spread that its map does not show, (N, 6) shares of the standing height."""
    bend = bend_of(middles)
    usual = np.where((bend > FROM_BEND)[:, None], OWN_FOLDED, OWN_OPEN)
    pike = piked(np.pi - bend, np.pi - _knee(middles))
    return np.where(pike[:, None], OWN_PIKED, usual)


def _knee(middles: Array) -> Array:
    """By how much the knees are bent, (N,) rad; 0 straight."""
    thigh, shank = middles[:, 1] - middles[:, 2], middles[:, 3] - middles[:, 2]
    cross = thigh[:, 0] * shank[:, 1] - thigh[:, 1] * shank[:, 0]
    return np.asarray(np.pi - np.abs(np.arctan2(cross, (thigh * shank).sum(axis=1))))


def _weights(stock: Array, own: Array, agree: Flags) -> Array:
    """How far each of our own network's middles counts, (N, 6): by both spreads where the two agree, else wholly.

    Source
        law: the best mean of two independent values weighs them by one over their variance
    """
    columns = [[COLUMN[f"left_{joint}"], COLUMN[f"right_{joint}"]] for joint in MIDDLES]
    other = np.stack([stock[:, both].mean(axis=1) for both in columns], axis=1)
    shared = np.nan_to_num(other**2 / (other**2 + own**2), nan=1.0)
    return np.where(agree[:, None], shared, 1.0)


def _short(values: Array, digits: int) -> Array:
    """Fewer digits make small files."""
    return np.asarray(np.round(values, digits), dtype=np.float64)


def _middles(points: Array) -> Array:
    """The middles of left and right, (N, 6, 2) px in the order of `MIDDLES`."""
    return np.stack([pair(points, joint) for joint in MIDDLES], axis=1)


def _taken(stock: Merged, own: OwnPass, seen: tuple[SecondEyes, Array], height: float) -> Merged:
    """All nineteen joints: the stock model's, and where the second eyes are used theirs, left and right round their
    middles.
    """  # noqa: D205
    second, middles = seen
    used = second.used
    points = same_sides(own.points, np.nan_to_num(stock.points))
    spread = np.tile(WHEN_FOLDED * ALWAYS * height, (len(points), 1))
    for n, joint in enumerate(MIDDLES):
        columns = [COLUMN[f"left_{joint}"], COLUMN[f"right_{joint}"]]
        half = (points[:, columns[0]] - points[:, columns[1]]) / 2
        wide = np.linalg.norm(half, axis=1) > SIDES_APART * TRUNK * height
        half = np.where(wide[:, None], 0.0, half)
        points[:, columns[0]] = middles[:, n] + half
        points[:, columns[1]] = middles[:, n] - half
        spread[:, columns] = second.spread[:, n, None]
    return replace(
        stock,
        points=np.where(used[:, None, None], np.round(points, 2), stock.points),
        spread=np.where(used[:, None], np.round(spread, 2), stock.spread),
        origin=np.where(
            used[:, None], BY_MODEL, np.where(np.isfinite(stock.spread), stock.origin, MISSING)
        ).astype(np.int64),
    )


def _lasting(bend: Array) -> Array:
    """The bend without what lasts a single frame: the middle of three."""
    edge = np.pad(bend, 1, mode="edge")
    middle: Array = np.median(np.stack([edge[:-2], edge[1:-1], edge[2:]]), axis=0)
    return middle


def _eased(used: Flags) -> Array:
    """How far the second eyes' points count: all where they are used, less and less in the frames beside."""
    share: Array = used.astype(np.float64)
    for step in range(1, NEXT_TO + 1):
        less = 1 - step / (NEXT_TO + 1)
        share[step:] = np.maximum(share[step:], less * used[:-step])
        share[:-step] = np.maximum(share[:-step], less * used[step:])
    return share


def told_of(own: OwnPass) -> list[str]:
    """What a coach is told of the second eyes, in notes of the track."""
    lost = float(np.mean(own.stray))
    if lost <= 0.05:
        return []
    return [
        f"Our own network named places where she cannot be in {100 * lost:.0f} % of frames; they were left out. "
        "Look at the joints, or click frames by hand."
    ]
