"""Which shape a pair of opening angles is, by the limits of a named edition of the rules.

The limits differ between disciplines and have moved between editions, so an edition must be named. None of those filed
here is the one in force; read second hand, they are for comparison, and the federation's own document decides.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from math import inf, isfinite, pi
from typing import Literal

from loftbook.errors import RangeError, ShapeError
from loftbook.mechanics.segments import data_rows
from loftbook.units import degree, degrees_from_radians

ShapeName = Literal["tuck", "pike", "straight", "between"]


@dataclass(frozen=True)
class Edition:
    """The limits of one discipline in one edition of its rules.

    Units
        opening angles in rad, π is straight; an infinite limit is one that the edition does not set
        inclusive : whether the limit itself still belongs to tuck and pike
    """

    name: str
    discipline: str
    begins: date
    ends: date
    tuck: tuple[float, float]
    pike: tuple[float, float]
    straight: tuple[float, float]
    inclusive: bool
    provenance: str


@dataclass(frozen=True)
class ShapeClass:
    """Which shape a pair of angles is, and how far from being another.

    Units
        distance : rad, the smallest change of hip or knee alone that would make it another shape; infinite if none
        nearest : that limit in words
    """

    name: ShapeName
    distance: float
    nearest: str
    edition: str


def editions() -> dict[str, Edition]:
    """The editions whose limits are filed, by name.

    Units
        rad

    Source
        data/shape-limits.csv; read second hand

    Example
        >>> sorted(editions())
        ['trampoline-2013', 'wag-2013']
    """
    return {row["edition"]: _edition(row) for row in data_rows("shape-limits.csv")}


def shape_class(hip: float, knee: float, *, edition: str) -> ShapeClass:
    """Is this a tuck, a pike or a straight body, and how far from the limit?

    Units
        hip, knee : opening angles, rad, π is straight: between upper body and thighs, thigh and lower leg
        edition : a name of `editions`

    Valid
        for the named edition only. `between` means that none of its three definitions fits.

    Raises
        RangeError for angles that are no opening angles; ShapeError for an unknown edition

    Source
        data/shape-limits.csv; trampoline 2013-16 and women's artistic 2013-16, both read second hand

    Example
        >>> found = shape_class(130 * degree, 90 * degree, edition="trampoline-2013")
        >>> found.name, round(found.distance / degree), found.nearest
        ('tuck', 5, 'hip at 135°')
    """
    known = editions()
    if edition not in known:
        raise ShapeError(
            f"edition {edition!r}", f"one of {', '.join(sorted(known))}", "name the edition of the rules"
        )
    for name, angle in (("hip", hip), ("knee", knee)):
        if not (isfinite(angle) and 0 <= angle <= 1.25 * pi):
            raise RangeError(
                f"a {name} opening of {degrees_from_radians(angle):.0f}°",
                "0° to 225°, where 180° is straight",
                "give the opening angle in radians, not the flexion",
            )
    rules = known[edition]
    name = _class(hip, knee, rules)
    distance, nearest = _nearest_change(hip, knee, rules, name)
    return ShapeClass(name, distance, nearest, edition)


def _edition(row: dict[str, str]) -> Edition:
    def limit(column: str, blank: float) -> float:
        return float(row[column]) * degree if row[column] else blank

    return Edition(
        name=row["edition"],
        discipline=row["discipline"],
        begins=date.fromisoformat(row["from"]),
        ends=date.fromisoformat(row["to"]),
        tuck=(limit("tuck_hip_most", inf), limit("tuck_knee_most", inf)),
        pike=(limit("pike_hip_most", inf), limit("pike_knee_least", -inf)),
        straight=(limit("straight_hip_least", -inf), limit("straight_knee_least", -inf)),
        inclusive=row["limit_belongs"] == "inside",
        provenance=row["provenance"],
    )


def _class(hip: float, knee: float, rules: Edition) -> ShapeName:
    def closed(angle: float, limit: float) -> bool:
        return angle <= limit + 1e-12 if rules.inclusive else angle < limit - 1e-12

    if hip > rules.straight[0] + 1e-12 and knee > rules.straight[1]:
        return "straight"
    if closed(hip, rules.tuck[0]) and closed(knee, rules.tuck[1]):
        return "tuck"
    if closed(hip, rules.pike[0]) and knee > rules.pike[1] + 1e-12:
        return "pike"
    return "between"


def _nearest_change(hip: float, knee: float, rules: Edition, name: ShapeName) -> tuple[float, str]:
    """Smallest change of one angle alone that changes the class."""
    found = (inf, "no limit of this edition")
    for which, limits in ((0, "hip"), (1, "knee")):
        for limit in {rules.tuck[which], rules.pike[which], rules.straight[which]}:
            if not isfinite(limit):
                continue
            for side in (limit - 1e-6, limit + 1e-6):
                moved = (side, knee) if which == 0 else (hip, side)
                gap = abs((hip, knee)[which] - limit)
                if _class(*moved, rules) != name and gap < found[0]:
                    found = (gap, f"{limits} at {degrees_from_radians(limit):.0f}°")
    return found
