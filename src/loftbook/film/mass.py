"""Where the mass of the body is, from joints seen from the side: the segment model of `mechanics` in the picture.

No weight is needed: shares of body mass are enough. Left and right are taken together, because a side view tells
their middle better than it tells them apart.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

import numpy as np

from loftbook.film.track import Array, Track
from loftbook.mechanics import Body, body

USUAL_STATURE, USUAL_AGE = 1.5, 12.0  # m, years: proportions only; the head's share falls with age


@dataclass(frozen=True)
class Part:
    """One segment as seen from the side: a line between two middles, its mass and how that is spread.

    Units
        start, end : names of places in `places_of`; share : of body mass, both sides together
        centre : share of the line from start to end; radius : of gyration about the axis into the picture, m at
        the stature of the body; length : m
    """

    start: str
    end: str
    share: float
    centre: float
    radius: float
    length: float


@cache
def usual_body() -> Body:
    """A girl of twelve, where nobody said who it is: only her proportions are used."""
    return body(USUAL_STATURE, "female", age=USUAL_AGE)


def parts_of(athlete: Body) -> tuple[Part, ...]:
    """The segments of a body as lines in a side view.

    Units
        m at the body's stature

    Valid
        the trunk is one piece from hips to shoulders

    Source
        segment table as in `mechanics.body`

    Example
        >>> round(sum(part.share for part in parts_of(usual_body())), 6)
        1.0
    """
    from loftbook.mechanics.body import SEGMENT_NAMES

    frame = athlete.skeleton
    at = {name: n for n, name in enumerate(SEGMENT_NAMES)}
    share = {name: float(frame.fractions[n]) for name, n in at.items()}
    radius = {name: float(np.sqrt(frame.inertias[n, 0] / frame.fractions[n])) for name, n in at.items()}
    trunk, trunk_share, trunk_radius, shoulder = _trunk(athlete, at, share, radius)
    head = (shoulder, share["head"], radius["head"])
    length = athlete.lengths
    limbs = [
        Part("shoulder", "elbow", 2 * share["left_upper_arm"], _down(athlete, "left_upper_arm", "upper_arm"),
             radius["left_upper_arm"], length["upper_arm"]),
        Part("elbow", "wrist", 2 * share["left_forearm"], _down(athlete, "left_forearm", "forearm"),
             radius["left_forearm"], length["forearm"]),
        Part("wrist", "fingers", 2 * share["left_hand"], _down(athlete, "left_hand", "hand"),
             radius["left_hand"], length["hand"]),
        Part("hip", "knee", 2 * share["left_thigh"], _down(athlete, "left_thigh", "thigh"),
             radius["left_thigh"], length["thigh"]),
        Part("knee", "ankle", 2 * share["left_shank"], _down(athlete, "left_shank", "shank"),
             radius["left_shank"], length["shank"]),
        Part("heel", "toe", 2 * share["left_foot"], 0.4, radius["left_foot"], length["foot"]),
    ]  # fmt: skip
    return (
        Part("hip", "shoulder", trunk_share, trunk, trunk_radius, shoulder),
        Part("head", "crown", head[1], 0.0, head[2], length["head"] / 2),
        *limbs,
    )


def _trunk(
    athlete: Body, at: dict[str, int], share: dict[str, float], radius: dict[str, float]
) -> tuple[float, float, float, float]:
    """Centre (share of hip to shoulder), share of mass, radius of gyration and length of the whole trunk."""
    frame = athlete.skeleton
    names = ("pelvis", "mid_trunk", "upper_trunk")
    bases = np.cumsum([frame.offsets[at[name], 2] for name in names])
    heights = np.array([b + frame.centres[at[n], 2] for b, n in zip(bases, names, strict=True)])
    weights = np.array([share[n] for n in names])
    middle = float(weights @ heights / weights.sum())
    spread = weights @ ((heights - middle) ** 2 + np.array([radius[n] ** 2 for n in names]))
    shoulder = float(bases[-1] + frame.offsets[at["left_upper_arm"], 2])
    return middle / shoulder, float(weights.sum()), float(np.sqrt(spread / weights.sum())), shoulder


def _down(athlete: Body, segment: str, name: str) -> float:
    from loftbook.mechanics.body import SEGMENT_NAMES

    centre = athlete.skeleton.centres[SEGMENT_NAMES.index(segment), 2]
    return float(-centre / athlete.lengths[name])


def places_of(track: Track) -> dict[str, Array]:
    """The middles of left and right joints, and the places that follow from them, gaps filled where the body tells.

    Units
        each (N, 2) px; NaN where the trunk itself was not seen

    Valid
        arms that were not seen are laid along the trunk, feet at the ankle, the head in line with the trunk

    Example
        >>> from loftbook.film.track import BY_HAND
        >>> n = 2
        >>> track = Track(np.arange(n) / 60, np.arange(n), np.zeros((n, 19, 2)), np.ones((n, 19)),
        ...     np.full((n, 19), BY_HAND), np.full(n, np.nan), 1280, 720, "clicked by hand")
        >>> places_of(track)["head"].shape
        (2, 2)
    """
    names = ("shoulder", "elbow", "wrist", "hip", "knee", "ankle", "heel", "toe", "ear")
    at = {name: track.middle(name) for name in names}
    trunk = at["shoulder"] - at["hip"]
    at["head"] = _or(at.pop("ear"), at["shoulder"] + 0.49 * trunk)
    at["crown"] = at["head"] + 0.24 * trunk
    at["elbow"] = _or(at["elbow"], at["shoulder"] - 0.5 * trunk)
    at["wrist"] = _or(at["wrist"], at["elbow"] + 0.9 * (at["elbow"] - at["shoulder"]))
    at["fingers"] = at["wrist"] + 0.3 * (at["wrist"] - at["elbow"])
    at["heel"], at["toe"] = _or(at["heel"], at["ankle"]), _or(at["toe"], at["ankle"])
    return at


SEEN_AS = {"head": "ear", "crown": "ear", "fingers": "wrist", "heel": "ankle", "toe": "ankle"}


def mass_centre_spread(track: Track, parts: tuple[Part, ...]) -> Array:
    """How far the mass centre may be off in each frame, by how far each joint may be, (N,) px; NaN where unknown.

    Valid
        errors of different joints taken as independent; a joint without a spread counts with the hips'

    Source
        law: the spread of a sum of independent parts

    Example
        >>> from loftbook.film.track import BY_HAND
        >>> track = Track(np.arange(2) / 60, np.arange(2), np.zeros((2, 19, 2)), np.ones((2, 19)),
        ...     np.full((2, 19), BY_HAND), np.full(2, np.nan), 1280, 720, "clicked by hand")
        >>> bool(0.3 < mass_centre_spread(track, parts_of(usual_body()))[0] < 0.6)  # less than that of one joint
        True
    """
    pulls: dict[str, float] = {}
    for part in parts:
        for name, share in ((part.start, 1 - part.centre), (part.end, part.centre)):
            joint = SEEN_AS.get(name, name)
            pulls[joint] = pulls.get(joint, 0.0) + part.share * share
    hip = track.middle_spread("hip")
    total = np.zeros(len(track.times))
    for joint, pull in pulls.items():
        spread = track.middle_spread(joint)
        total += (pull * np.where(np.isfinite(spread), spread, hip)) ** 2
    return np.asarray(np.sqrt(total))


def mass_centre(places: dict[str, Array], parts: tuple[Part, ...]) -> Array:
    """The middle of all mass, in the unit of the places.

    Units
        returns (N, 2)

    Source
        law: sum of share times place

    Example
        >>> at = {p: np.zeros((1, 2)) for part in parts_of(usual_body()) for p in (part.start, part.end)}
        >>> mass_centre(at, parts_of(usual_body())).tolist()
        [[0.0, 0.0]]
    """
    total = np.zeros_like(places["hip"])
    for part in parts:
        total = total + part.share * _centre(places, part)
    return total


def spin_momentum(places: dict[str, Array], times: Array, parts: tuple[Part, ...]) -> tuple[Array, Array]:
    """Angular momentum about the mass centre and the inertia of the shape, both per kilogram, seen from the side.

    Units
        places in m, x right and z up; times : (N,) s
        returns (N,) m²/s, turning against the clock positive, and (N,) m²

    Source
        law: sum of share times (r cross v + radius squared times the segment's own spin); central differences

    Example
        >>> t = np.linspace(0, 1, 50)
        >>> at = {p: np.zeros((50, 2)) for part in parts_of(usual_body()) for p in (part.start, part.end)}
        >>> at["shoulder"] = np.stack([-np.sin(t), np.cos(t)], axis=1)
        >>> H, inertia = spin_momentum(at, t, parts_of(usual_body()))
        >>> bool(H[20] > 0)
        True
    """
    middle = mass_centre(places, parts)
    middle_speed = np.gradient(middle, times, axis=0)
    momentum, inertia = np.zeros(len(times)), np.zeros(len(times))
    for part in parts:
        out = _centre(places, part) - middle
        speed = np.gradient(_centre(places, part), times, axis=0) - middle_speed
        line = places[part.end] - places[part.start]
        angle = np.unwrap(np.arctan2(-line[:, 0], line[:, 1]))
        momentum += part.share * (out[:, 0] * speed[:, 1] - out[:, 1] * speed[:, 0])
        momentum += part.share * part.radius**2 * np.gradient(angle, times)
        inertia += part.share * (np.sum(out**2, axis=1) + part.radius**2)
    return momentum, inertia


def _centre(places: dict[str, Array], part: Part) -> Array:
    start, end = places[part.start], places[part.end]
    return np.asarray(start + part.centre * (end - start))


def _or(first: Array, second: Array) -> Array:
    return np.asarray(np.where(np.isfinite(first), first, second))
