"""Points by hand where no model can be trusted: a few clicked frames, and physics for all the frames between.

Six to eight frames are clicked, at the corners of the movement, four joints in each. Between them the mass centre falls
freely, limbs keep to what joints can do, and the body turns faster the smaller it makes itself, because its angular
momentum stays.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from loftbook.errors import RangeError
from loftbook.film.laying import Chain, chain_of, laid_out
from loftbook.film.measurement import FlightSeen
from loftbook.film.track import BY_HAND, BY_PHYSICS, COLUMN, MISSING, Array, Flags, Track

CLICKED = ("shoulder", "hip", "knee", "ankle")
LEAST_CLICKS = 4
CLICK_SPREAD = 0.05  # of the trunk: how well a joint is hit, some 2.5 cm
FILLED_SPREAD = 0.10  # of the trunk: how well physics fills in between, on rendered clips
KEPT_WITHIN = 0.20  # of the trunk: an automatic frame stays where it is this near to what physics says
CORNERS = ("take-off", "fold begins", "folded", "between", "between", "opening begins", "open", "landing")
USUAL_SHARES = (0.0, 0.13, 0.21, 0.41, 0.61, 0.80, 0.90, 1.0)  # of the flight, where no fold was found


@dataclass(frozen=True)
class Click:
    """One clicked frame: the middle of left and right of each of four joints.

    Units
        frame : of the clip; shoulder, hip, knee, ankle : px, x right, y down
    """

    frame: int
    shoulder: tuple[float, float]
    hip: tuple[float, float]
    knee: tuple[float, float]
    ankle: tuple[float, float]


@dataclass(frozen=True)
class Proposed:
    """A frame to click, and which corner of the movement it is."""

    frame: int
    corner: str


def proposed_frames(seen: FlightSeen) -> tuple[Proposed, ...]:
    """Which frames of a flight to click: the corners of the movement.

    Units
        frames of the clip, in order, none twice

    Valid
        from what was tracked; where no fold was found or the joints were lost, at usual places of a flight

    Source
        eight clicks at the corners do what sixteen do at even steps: simulated clicks on rendered clips

    Example
        >>> len(CORNERS) == len(USUAL_SHARES)
        True
    """
    start, flight, phases = seen.leaves.time, seen.duration, seen.phases
    times = [start + share * flight for share in USUAL_SHARES]
    lost = seen.judged.pose.trust == "none"
    if phases.folded and phases.closing is not None and phases.opening is not None and not lost:
        times = [start + t for t in _corners(phases.closing, phases.opening, phases.held, flight)]
    frames = [int(seen.course.frames[np.argmin(np.abs(seen.course.times - t))]) for t in times]
    found: dict[int, str] = {}
    for frame, corner in zip(frames, CORNERS, strict=True):
        found.setdefault(frame, corner)
    return tuple(Proposed(frame, found[frame]) for frame in sorted(found))


def _corners(closing: float, opening: float, held: tuple[float, float], flight: float) -> list[float]:
    """Take-off, both ends of closing, two between, both ends of opening, landing: s after take-off.

    A movement that starts and ends softly is at 85 % after 72 % of its time, so its ends lie 2.3 times as far from its
    middle as that.
    """
    soft = 2.3
    into, out = soft * max(held[0] - closing, 0.02), soft * max(opening - held[1], 0.02)
    begins, folded = max(closing - into, 0.02), closing + into
    opens, opened = opening - out, min(opening + out, flight - 0.02)
    if opens <= folded:
        folded = opens = (closing + opening) / 2
    inner = [folded + (opens - folded) / 3, folded + 2 * (opens - folded) / 3]
    return [0.0, begins, folded, *inner, opens, opened, flight]


def with_clicks(track: Track, clicks: Sequence[Click]) -> Track:
    """A track with clicked frames worked in: they stand as clicked, and physics fills what lies between them.

    Between the first and the last clicked frame an automatic frame stays only where both passes agree and it lies near
    to what physics says; before and after nothing changes.

    Units
        px, as `Track`

    Valid
        one flight: all clicks from one take-off to its landing; turning of less than half a turn more or less than
        the angular momentum says between two clicks

    Raises
        RangeError for too few clicks, frames that were not tracked, or a frame clicked twice

    Source
        law: free fall, constant angular momentum; joint angles by monotone cubics between clicks

    Example
        >>> from loftbook.film.track import BY_MODEL
        >>> n = 30
        >>> empty = Track(np.arange(n) / 30, np.arange(n), np.full((n, 19, 2), np.nan), np.full((n, 19), np.nan),
        ...     np.full((n, 19), MISSING), np.full(n, np.nan), 1280, 720, "clicked by hand")
        >>> up = lambda k, y: Click(k, (600, y - 60), (600, y), (600, y + 50), (600, y + 100))
        >>> track = with_clicks(empty, [up(0, 400), up(9, 310), up(15, 300), up(20, 310), up(29, 400)])
        >>> bool(290 < track.middle("hip")[12, 1] < 320), int(track.origin[12, COLUMN["left_hip"]]) == BY_PHYSICS
        (True, True)
    """
    rows, ordered = _checked(track, clicks)
    points = np.array([[getattr(c, joint) for joint in CLICKED] for c in ordered], dtype=float)
    chain = chain_of(track.times[rows], points, outline=_outline(track, rows))
    inside = np.arange(rows[0], rows[-1] + 1)
    filled = laid_out(chain, track.times[inside])
    by_hand = np.isin(inside, rows)
    filled[by_hand] = points
    keep = _kept(track, inside, filled, chain) & ~by_hand
    return _merged(track, inside[~keep], filled[~keep], by_hand[~keep], chain)


def _checked(track: Track, clicks: Sequence[Click]) -> tuple[Array, list[Click]]:
    if len(clicks) < LEAST_CLICKS:
        raise RangeError(
            f"{len(clicks)} clicked frames",
            f"{LEAST_CLICKS} or more, better 6 to 8",
            "click the frames that are proposed",
        )
    row = {int(frame): n for n, frame in enumerate(track.frames)}
    ordered = sorted(clicks, key=lambda c: c.frame)
    unknown = [c.frame for c in ordered if c.frame not in row]
    if unknown:
        raise RangeError(
            f"clicks in frame {unknown[0]}",
            f"frames from {track.frames[0]} to {track.frames[-1]}",
            "click a frame that was tracked",
        )
    if len({c.frame for c in ordered}) < len(ordered):
        raise RangeError("a frame clicked twice", "one set of points a frame", "keep the better of the two")
    return np.array([row[c.frame] for c in ordered]), ordered


def _outline(track: Track, rows: Array) -> float | None:
    """How far the silhouette turned between the first and the last click, rad; None where it is not known."""
    if track.silhouette is None:
        return None
    axis = track.silhouette.axis
    known = np.isfinite(axis)
    span = slice(int(rows[0]), int(rows[-1]) + 1)
    if known[span].sum() < 0.8 * (rows[-1] - rows[0] + 1):
        return None
    n = np.arange(len(axis))
    return float(np.interp(rows[-1], n[known], axis[known]) - np.interp(rows[0], n[known], axis[known]))


def _kept(track: Track, inside: Array, filled: Array, chain: Chain) -> Flags:
    """Which automatic frames stay: both passes agree there and around, and physics agrees too."""
    agree = ~track.quarrels[inside]
    if track.second is None:
        agree &= np.isfinite(track.apart[inside])
    around = agree.copy()
    around[1:] &= agree[:-1]
    around[:-1] &= agree[1:]
    seen = np.stack([track.middle(joint)[inside] for joint in CLICKED], axis=1)
    off = np.linalg.norm(seen - filled, axis=2).max(axis=1)
    return np.asarray(around & (off <= KEPT_WITHIN * chain.trunk))


def _merged(track: Track, rows: Array, filled: Array, by_hand: Flags, chain: Chain) -> Track:
    points, spread, origin = track.points.copy(), track.spread.copy(), track.origin.copy()
    apart = track.apart.copy()
    points[rows], spread[rows], origin[rows] = np.nan, np.nan, MISSING
    for k, joint in enumerate(CLICKED):
        for side in ("left", "right"):
            column = COLUMN[f"{side}_{joint}"]
            points[rows, column] = filled[:, k]
            spread[rows, column] = np.where(by_hand, CLICK_SPREAD, FILLED_SPREAD) * chain.trunk
            origin[rows, column] = np.where(by_hand, BY_HAND, BY_PHYSICS)
    apart[rows] = np.nan
    note = f"{int(by_hand.sum())} frames by hand, {int((~by_hand).sum())} by physics between them"
    notes = tuple(n for n in track.notes if "by physics between them" not in n)
    second = track.second
    if second is not None:  # what was put by hand is nobody's quarrel
        sure = second.sure.copy()
        sure[rows] = True
        second = replace(second, sure=sure)
    return replace(
        track, points=points, spread=spread, origin=origin, apart=apart, notes=(*notes, note), second=second
    )
