"""The body through time in metres and radians, once gravity has said how large a metre is in the picture."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from loftbook.film.falling import Fall
from loftbook.film.mass import Part, mass_centre, places_of, spin_momentum
from loftbook.film.track import Array, Flags, Track
from loftbook.units import degree

OPEN = 110 * degree  # of hip and knee: more bent than this the line from ankles to shoulders is no body line
# A pike is hips bent by more than this with knees bent by less; tuck and open tuck bend knees by 105 and more
PIKED_HIP, PIKED_KNEE = 90 * degree, 75 * degree


@dataclass(frozen=True, eq=False)
class Course:
    """What the body did, frame by frame, in the plane that the camera sees.

    Units
        times : (N,) s; frames : (N,) of the clip; places : each (N, 2) m, x right, z up, from the apex of the fall
        trunk : (N,) rad, hips to shoulders, turning against the clock, whole turns counted, 0 upright
        line : (N,) rad, ankles to shoulders, within half a turn of the trunk
        hip, knee : (N,) rad, opening angles, π is straight; arm : (N,) rad, 0 hanging along the trunk, π overhead
        centre : (N, 2) m, mass centre; momentum : (N,) m²/s per kilogram, against the clock; inertia : (N,) m²
        hands : (N,) m, from the wrists to the nearer of shin and thigh; shoulders : (N,) m, from one to the other
        doubtful : (N,) frames to be mistrusted; spread : px, usual error of one joint
    """

    times: Array
    frames: Array
    places: dict[str, Array]
    trunk: Array
    line: Array
    hip: Array
    knee: Array
    arm: Array
    centre: Array
    momentum: Array
    inertia: Array
    hands: Array
    shoulders: Array
    doubtful: Flags
    spread: float

    def at(self, values: Array, time: float) -> float:
        """A curve at an instant between frames."""
        known = np.isfinite(values)
        return float(np.interp(time, self.times[known], values[known])) if known.any() else float("nan")

    def turned_at(self, time: float) -> float:
        """How far the body has turned at a contact, rad: ankles to shoulders, or the trunk where she is folded."""
        open_ = min(self.at(self.hip, time), self.at(self.knee, time)) > OPEN
        return self.at(self.line if open_ else self.trunk, time)

    def between(self, start: float, end: float) -> Flags:
        """Which frames lie between two instants."""
        return np.asarray((self.times >= start) & (self.times <= end))


def course_of(track: Track, fall: Fall, parts: tuple[Part, ...]) -> Course:
    """The body through a track in metres and radians, with the scale of one flight.

    Units
        as `Course`

    Valid
        seen square from the side: what comes towards the camera is lost

    Source
        definition; inertia and momentum as in `mass`

    Example
        >>> from loftbook.film.finding import Window
        >>> from loftbook.film.falling import fall_of
        >>> from loftbook.film.mass import parts_of, usual_body
        >>> from loftbook.film.track import BY_HAND
        >>> t = np.arange(0, 1.0, 0.02)
        >>> path = np.stack([640 + 20 * t, 200 + 100 * 4.905 * (t - 0.5) ** 2], axis=1)
        >>> fall = fall_of(t, path, Window(0, 49, leaves=0.0, lands=1.0), doubt=1.0)
        >>> points = np.repeat(path[:, None], 19, axis=1)
        >>> track = Track(t, np.arange(50), points, np.ones((50, 19)), np.full((50, 19), BY_HAND),
        ...     np.full(50, np.nan), 1280, 720, "clicked by hand")
        >>> course = course_of(track, fall, parts_of(usual_body()))
        >>> round(float(course.centre[0, 1]), 1)
        -1.2
    """
    seen = places_of(track)
    places = {name: fall.place(points) for name, points in seen.items()}
    trunk = places["shoulder"] - places["hip"]
    thigh, shank = places["knee"] - places["hip"], places["ankle"] - places["knee"]
    doubtful = track.quarrels | ~_seen(track)
    count = turned(trunk, track.uncounted | ~_seen(track))
    line = places["shoulder"] - places["ankle"]
    upper_arm = places["elbow"] - places["shoulder"]
    shifts = fall.shifts if len(fall.shifts) == len(LEVERS) else (0.0,) * len(LEVERS)
    centre = mass_centre(places, parts)
    for shift, (start, end) in zip(shifts, LEVERS, strict=True):
        centre = centre + shift * (places[end] - places[start])
    momentum, inertia = spin_momentum(places, track.times, parts)
    return Course(
        times=track.times,
        frames=track.frames.astype(float),
        places=places,
        trunk=count,
        line=count + near_turn(np.arctan2(-line[:, 0], line[:, 1]) - count),
        hip=_angle(trunk, thigh),
        knee=_angle(-thigh, shank),
        arm=_angle(-trunk, upper_arm),
        centre=centre,
        momentum=momentum,
        inertia=inertia,
        hands=_hand_gap(places),
        shoulders=np.linalg.norm(
            fall.place(track.of("left_shoulder")) - fall.place(track.of("right_shoulder")), axis=1
        ),
        doubtful=doubtful,
        spread=float(np.nanmedian(track.spread)) if np.isfinite(track.spread).any() else float("nan"),
    )


def piked(hip: Array, knee: Array) -> Flags:
    """In which frames she is folded over legs that are nearly straight, where a pose model guesses knees and feet.

    Units
        hip, knee : (N,) rad, opening angles, π is straight

    Source
        definition; on the rendered pike three pose models put knees 6 to 7 % of stature off there, and twice as near
        elsewhere

    Example
        >>> piked(np.radians([30.0, 30.0, 170.0]), np.radians([160.0, 40.0, 170.0])).tolist()
        [True, False, False]
    """
    return np.asarray((np.pi - hip > PIKED_HIP) & (np.pi - knee < PIKED_KNEE))


LEVERS = (("hip", "shoulder"), ("hip", "knee"), ("knee", "ankle"), ("shoulder", "wrist"))


def levers_of(places: dict[str, Array]) -> Array:
    """The lines of the body along which its mass centre may lie off the model's, (N, 4, 2).

    Example
        >>> levers_of({n: np.zeros((2, 2)) for n in ("hip", "shoulder", "knee", "ankle", "wrist")}).shape
        (2, 4, 2)
    """
    return np.stack([places[end] - places[start] for start, end in LEVERS], axis=1)


def turned(line: Array, doubtful: Flags) -> Array:
    """How far a line of the body has turned against the clock since upright, whole turns counted.

    Units
        line : (N, 2), x right and z up; returns (N,) rad, NaN where unknown; doubtful frames carry no count

    Example
        >>> a = np.linspace(0, 6.28, 20)
        >>> round(float(turned(np.stack([-np.sin(a), np.cos(a)], axis=1), np.zeros(20, bool))[-1]), 2)
        6.28
    """
    angle = np.arctan2(-line[:, 0], line[:, 1])
    known = np.isfinite(angle)
    sure = known & ~doubtful if (known & ~doubtful).sum() >= 0.5 * known.sum() else known
    out = np.full(len(angle), np.nan)
    if not sure.any():
        return out
    out[sure] = np.unwrap(angle[sure])
    rest = known & ~sure
    n = np.arange(len(angle))
    near = np.interp(n[rest], n[sure], out[sure])
    out[rest] = near + (angle[rest] - near + np.pi) % (2 * np.pi) - np.pi
    return out


def near_turn(angle: Array) -> Array:
    """An angle brought to within half a turn of nothing, rad.

    Example
        >>> near_turn(np.array([6.5])).round(3).tolist()
        [0.217]
    """
    return np.asarray((angle + np.pi) % (2 * np.pi) - np.pi)


def _seen(track: Track) -> Flags:
    """In which frames one side or the other of shoulder, hip, knee and ankle is known."""
    seen = np.ones(len(track.times), dtype=bool)
    for joint in ("shoulder", "hip", "knee", "ankle"):
        seen &= np.isfinite(track.middle(joint)).all(axis=1)
    return seen


def _angle(a: Array, b: Array) -> Array:
    """The angle between two directions, 0 to π."""
    cross = a[:, 0] * b[:, 1] - a[:, 1] * b[:, 0]
    return np.asarray(np.arctan2(np.abs(cross), np.sum(a * b, axis=1)))


def _hand_gap(places: dict[str, Array]) -> Array:
    """From the wrists to the nearest point of the lower leg or thigh, m."""
    hand = places["wrist"]
    shin = _gap(hand, places["knee"], places["ankle"])
    thigh = _gap(hand, places["hip"] + 0.5 * (places["knee"] - places["hip"]), places["knee"])
    return np.minimum(shin, thigh)


def _gap(point: Array, start: Array, end: Array) -> Array:
    line = end - start
    size = np.maximum(np.sum(line**2, axis=1), 1e-12)
    share = np.clip(np.sum((point - start) * line, axis=1) / size, 0, 1)
    return np.asarray(np.linalg.norm(point - start - share[:, None] * line, axis=1))
