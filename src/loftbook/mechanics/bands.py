"""A number with its band: what uncertainty in body, timing and flight leaves of it.

A band is first order: each uncertain thing is moved by its standard uncertainty both ways, the effects are added as
squares, and two of the sum on either side make the band (about 95 in 100 where errors are normal).
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field, fields, replace
from math import isfinite

import numpy as np

from loftbook.errors import PlanError, RangeError
from loftbook.mechanics.arrays import Array
from loftbook.mechanics.body import Body, thicker
from loftbook.mechanics.shape_plan import ShapePlan, moved

COVERAGE = 2.0  # standard uncertainties on either side


@dataclass(frozen=True)
class Band:
    """A number that is known only so well.

    Units
        least, middle, most : of the quantity; the band holds about 95 in 100
        parts : standard uncertainty that each source brings, same unit

    Example
        >>> Band(1.0, 2.0, 3.0).holds(2.5)
        True
    """

    least: float
    middle: float
    most: float
    parts: Mapping[str, float] = field(default_factory=dict)

    def holds(self, value: float) -> bool:
        """Whether a value lies in the band."""
        return self.least <= value <= self.most


@dataclass(frozen=True)
class Uncertainty:
    """How well the things are known that a budget rests on, as standard uncertainties.

    Units
        transverse : relative, of the inertia about the left-right axis. The model is within 4 to 6 % of
        Santschi (1963, from memory) standing, sitting and arms overhead
        between_shapes : relative, of the ratio of two shapes' inertia; the ratio tuck to straight is 0.38 to
        0.44 in five measured sample bodies and near 0.44 in this model
        timing : s, of closing and of opening; flight_time : s; common practice, no source
        turns : of the turns wanted: real doubles turned 1.6 to 1.9 in the air, taken as even odds in between

    Valid
        longitudinal inertia has its own place: `Body.longitudinal_uncertainty`

    Raises
        RangeError for a negative one, or one that is no number

    Example
        >>> Uncertainty(turns=0.0).timing
        0.03
    """

    transverse: float = 0.05
    between_shapes: float = 0.05
    timing: float = 0.03
    flight_time: float = 0.02
    turns: float = 0.09

    def __post_init__(self) -> None:
        """Refuse what is no uncertainty."""
        for one in fields(self):
            value = getattr(self, one.name)
            if not (isfinite(value) and 0 <= value < 0.5):
                raise RangeError(
                    f"an uncertainty {one.name} of {value!r}",
                    "0 to 0.5",
                    "give it relative, in s, or in turns",
                )


@dataclass(frozen=True)
class Case:
    """One set of assumptions under which something is worked out.

    Units
        flight_time : s; turns : turns
        inertia, other_shape : factors on inertia, of all shapes alike and of the shape asked about alone
    """

    body: Body
    shapes: ShapePlan
    flight_time: float
    turns: float
    inertia: float = 1.0
    other_shape: float = 1.0


def bands_of(
    answer: Callable[[Case], Array],
    case: Case,
    unsure: Uncertainty,
    *,
    more: Mapping[str, Array] | None = None,
) -> list[Band]:
    """Bands of several numbers at once, from one function of the assumptions.

    Units
        answer : returns (M,) numbers for a case; more : further standard contributions, (M,) each

    Valid
        first order. A timing that cannot move one way (closing before take-off) is moved the other way only.

    Source
        law: first-order propagation of independent uncertainties (JCGM 100:2008, 5.1.2, from memory)

    Example
        >>> from loftbook.mechanics import body, tuck
        >>> case = Case(body(1.5, "female", age=12), ShapePlan(tuck()), 1.5, 1.75)
        >>> band, = bands_of(lambda c: np.array([c.flight_time]), case, Uncertainty(flight_time=0.01))
        >>> round(band.least, 3), round(band.most, 3)
        (1.48, 1.52)
    """
    middle = np.asarray(answer(case), dtype=float)
    parts = {
        name: _effect(answer, case, change, middle) for name, change in _changes(case, unsure).items()
    } | dict(more or {})
    total = np.sqrt(sum((np.square(part) for part in parts.values()), np.zeros_like(middle)))
    return [
        Band(
            float(middle[i] - COVERAGE * total[i]),
            float(middle[i]),
            float(middle[i] + COVERAGE * total[i]),
            {name: float(abs(part[i])) for name, part in parts.items()},
        )
        for i in range(len(middle))
    ]


def _changes(case: Case, unsure: Uncertainty) -> dict[str, Callable[[float], Case]]:
    """Each source as a change of the case by a signed number of standard uncertainties."""
    long = case.body.longitudinal_uncertainty
    return {
        "transverse inertia": lambda s: replace(case, inertia=1 + s * unsure.transverse),
        "ratio of two shapes": lambda s: replace(case, other_shape=1 + s * unsure.between_shapes),
        "longitudinal inertia": lambda s: replace(case, body=thicker(case.body, longitudinal=1 + s * long)),
        "closing": lambda s: replace(case, shapes=moved(case.shapes, closing=s * unsure.timing)),
        "opening": lambda s: replace(case, shapes=moved(case.shapes, opening=s * unsure.timing)),
        "flight time": lambda s: replace(case, flight_time=case.flight_time + s * unsure.flight_time),
        "turns wanted": lambda s: replace(case, turns=case.turns + s * unsure.turns),
    }


def _effect(
    answer: Callable[[Case], Array], case: Case, change: Callable[[float], Case], middle: Array
) -> Array:
    """Half the difference between one standard uncertainty up and down; one-sided where one side cannot be."""
    up, down = _tried(answer, change, 1.0), _tried(answer, change, -1.0)
    if up is None and down is None:
        raise PlanError(
            f"a flight of {case.flight_time:g} s with no room for any change of timing",
            "a little room between closing and opening",
            "take a longer flight, quicker closing, or a timing uncertainty of 0",
        )
    if up is None:
        up = middle
    elif down is None:
        down = middle
    return (up - down) / 2 if down is not middle and up is not middle else up - down  # type: ignore[operator]


def _tried(answer: Callable[[Case], Array], change: Callable[[float], Case], size: float) -> Array | None:
    try:
        return np.asarray(answer(change(size)), dtype=float)
    except PlanError:
        return None
