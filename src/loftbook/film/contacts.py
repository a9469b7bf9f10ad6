"""When the feet left the bed and met the landing: to a fraction of a frame, against a line where one was drawn."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from loftbook.film.course import Course, near_turn
from loftbook.film.falling import FIRST_PUSH_MS, Fall
from loftbook.film.lines import Line
from loftbook.film.track import Array, Track
from loftbook.units import degree

# Ankle joint over the surface, shares of stature: 0.11 on pointed toes, which leave last; 0.055 on flat feet. Two
# rendered bodies and common practice. The toes themselves are found too high by pose models: only their slope is
# used.
POINTED, FLAT, BY_SLOPE = 0.11, 0.055, 0.12
SOLE_SPREAD = 0.02  # m: shoes, pointing, a bed that moves; an assumption
SOLE_FOUND = 0.035  # m, the same against a line that nobody looked at; an assumption, see docs/guide/film.md
DISPUTED = "by the push of the bed; a line found in the picture disagrees"
NEAR = 0.12  # s: the feet's crossing is looked for this near to where the push begins or ends
NOT_FOUND = "not found"
HEAD_DOWN, LYING = 120 * degree, 75 * degree  # off upright; flat on the back is 90
FOUND_OFF = 2.0  # standard deviations, beyond which a found line is not used
TOO_FAR = 3.0  # standard deviations between the two ways, beyond which one of them is wrong


@dataclass(frozen=True)
class Contact:
    """One end of a flight.

    Units
        time, spread : s of the clip, one standard deviation (infinite where this end is not in the film)
        how : what it rests on; quarrel : s between feet and push where both are known, NaN otherwise
        level : px, row of the ankles at that instant
    """

    time: float
    spread: float
    how: str
    quarrel: float
    level: float

    @property
    def seen(self) -> bool:
        """Whether this end lies in the film."""
        return bool(np.isfinite(self.spread))

    @property
    def by_feet(self) -> bool:
        """Whether the feet against a line had a say."""
        return self.how.startswith("feet")

    def missing(self, name: str) -> str:
        """A sentence about an end that is not seen.

        Example
            >>> Contact(1.0, float("inf"), "not in the film", float("nan"), 0.0).missing("landing")
            'The landing is not in the film.'
        """
        if self.how == NOT_FOUND:
            return f"The {name} was not found: where it should be her feet are not below her."
        return f"The {name} is not in the film."


def contact_of(track: Track, fall: Fall, line: Line | None, *, landing: bool, stature: float) -> Contact:
    """When the feet left or met, by the push of the bed and by the feet against the line where there is one.

    Units
        stature : m, to know how far the sole is below the ankle

    Valid
        feet that meet the surface first; the line at the place of the feet

    Source
        definition; the two ways weighted by their variances

    Example
        >>> Contact(1.0, float("inf"), "not in the film", float("nan"), 0.0).seen
        False
    """
    push = fall.lands if landing else fall.leaves
    spread = fall.lands_spread if landing else fall.leaves_spread
    rows = track.middle("ankle")[:, 1]
    known = np.isfinite(rows)
    level = float(np.interp(push, track.times[known], rows[known])) if known.any() else float("nan")
    own = float(np.hypot(spread, FIRST_PUSH_MS)) if np.isfinite(spread) else float("inf")
    feet = None if line is None else _crossing(track, fall, line, push, landing=landing, stature=stature)
    if feet is None:
        how = "where the push of the bed begins" if landing else "where the push of the bed ends"
        return Contact(push, own, how if np.isfinite(own) else "not in the film", float("nan"), level)
    time, feet_spread = feet
    if not np.isfinite(own):
        return Contact(time, feet_spread, "feet against the line", float("nan"), level)
    if line is not None and line.found and abs(time - push) > FOUND_OFF * np.hypot(own, feet_spread):
        return Contact(push, own, DISPUTED, time - push, level)
    weights = np.array([1 / own**2, 1 / feet_spread**2])
    both = float((weights @ np.array([push, time])) / weights.sum())
    named = "the line found in the picture, not drawn" if line is not None and line.found else "the line"
    how = f"feet against {named}, and the push of the bed"
    return Contact(both, float(1 / np.sqrt(weights.sum())), how, time - push, level)


def on_feet(end: Contact, course: Course, *, landing: bool) -> Contact:
    """The contact, or one that was not found: nobody leaves a bed with her feet over her hips, or meets it head down.

    A landing on the back is one. Where the joints were lost in a fold the curve of the fall ends there, and that is
    none.

    Source
        law of the body; limits are assumptions

    Example
        >>> on_feet.__name__
        'on_feet'
    """
    rise = course.at(course.places["hip"][:, 1] - course.places["ankle"][:, 1], end.time)
    lean = abs(float(near_turn(np.array(course.at(course.trunk, end.time)))))
    if not end.seen or not (lean > HEAD_DOWN if landing else rise < 0 or lean > LYING):
        return end
    return replace(end, spread=float("inf"), how=NOT_FOUND, quarrel=float("nan"))


def quarrels(contact: Contact, fall_spread: float) -> bool:
    """Whether feet and push disagree by more than their spreads allow.

    Example
        >>> quarrels(Contact(1.0, 0.004, "", 0.1, 0.0), 0.01)
        True
    """
    allowed = TOO_FAR * float(np.hypot(contact.spread, fall_spread)) + 0.01
    return bool(np.isfinite(contact.quarrel) and abs(contact.quarrel) > allowed)


def _crossing(
    track: Track, fall: Fall, line: Line, near: float, *, landing: bool, stature: float
) -> tuple[float, float] | None:
    """When the soles pass the line, and one standard deviation, s; None where they are not seen to."""
    over = _sole_over(track, fall, line, stature, landing=landing)
    about = np.flatnonzero((np.abs(track.times - near) <= NEAR) & np.isfinite(over))
    if len(about) < 3:
        return None
    t, y = track.times[about], over[about]
    sense = -1.0 if landing else 1.0
    passes = np.flatnonzero((sense * y[:-1] <= 0) & (sense * y[1:] > 0))
    if len(passes) == 0:
        return None
    k = int(passes[np.argmin(np.abs(t[passes] - near))])
    window = slice(max(0, k - 2), k + 4)
    slope = float(np.polynomial.polynomial.polyfit(t[window] - near, y[window], 1)[1])
    if abs(slope) < 1e-6:
        return None
    share = y[k] / (y[k] - y[k + 1])
    scale = fall.scale_at(float(line.height_at(np.array(track.width / 2))))
    doubt = np.hypot(line.spread, (SOLE_FOUND if line.found else SOLE_SPREAD) * scale)
    return float(t[k] + share * (t[k + 1] - t[k])), float(doubt / abs(slope))


def _sole_over(track: Track, fall: Fall, line: Line, stature: float, *, landing: bool) -> Array:
    """How far the sole is over the line, px, by the ankle and by how the foot slopes."""
    ankle = track.middle("ankle")
    surface = line.height_at(ankle[:, 0])
    scale = np.array([fall.scale_at(float(row)) if np.isfinite(row) else np.nan for row in surface])
    return np.asarray(surface - (ankle[:, 1] + _below(track, landing=landing) * stature * scale))


def sole_rows(track: Track, fall: Fall, stature: float, *, landing: bool) -> Array:
    """The row of the soles in each frame, px, by the ankle and by how the foot slopes.

    Units
        stature : m

    Valid
        near a contact; far from it the scale is that of the ankle's own row
    """
    rows = track.middle("ankle")[:, 1]
    scale = np.array([fall.scale_at(float(row)) if np.isfinite(row) else np.nan for row in rows])
    return np.asarray(rows + _below(track, landing=landing) * stature * scale)


def _below(track: Track, *, landing: bool) -> Array:
    """How far the sole is below the ankle, shares of stature."""
    heel, toe = track.middle("heel"), track.middle("toe")
    share = np.full(len(track.times), POINTED)
    if landing:
        foot = toe - heel
        slope = foot[:, 1] / np.maximum(np.linalg.norm(foot, axis=1), 1e-9)
        share = np.clip(FLAT + BY_SLOPE * np.where(np.isfinite(slope), slope, 0.3), 0.04, 0.14)
    return share
