"""How far the flight and the spin that somebody has would carry her in another shape, as a band with its parts.

Angular momentum is much the same from flight to flight. So a double that came round in one shape says how
much there is at least, and film says it better. Nothing here says that anybody should try anything.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from math import sqrt

from loftbook.insight.measured import Measured
from loftbook.insight.pace import Pace, Table, hips_for, pace, pace_of_hips
from loftbook.ladder.scales import Shape
from loftbook.mechanics import Band
from loftbook.mechanics.bands import COVERAGE
from loftbook.mechanics.budget import TURNS_IN_THE_AIR

# From memory, unverified: children of 11 to 14 are 1.2 to 1.5 s in the air on a trampoline
USUAL_TIME, USUAL_TIME_OFF = 1.35, 0.09  # s
USUAL_STATURE, USUAL_STATURE_OFF = 1.45, 0.10  # m; an assumption where no height is written
HEIGHT_OFF = 0.005  # m of one standing height, as commonly taken; own estimate, no source
TURNS_OFF = 0.09  # turns: recorded doubles turned 1.6 to 1.9 in the air, taken as even odds in between
TIMING_OFF = 0.03  # s of closing, and of opening where film shows it; common practice, no source
OPENING_OFF = (
    0.08  # s: nobody noted when she opens, and skilled trampolinists do 0.15 s sooner than the model's body
)
BETWEEN_SHAPES = 0.05  # relative, of the ratio of two shapes' inertia, as in `mechanics.Uncertainty`
TRANSVERSE = (
    0.05  # relative, of inertia about the left-right axis, where momentum was measured and not carried over
)


Three = tuple[float | None, float | None, float | None]  # at the kind end of a band, its middle, the hard end


@dataclass(frozen=True)
class Has:
    """What somebody brings: from film, from a double that she did, or nothing at all.

    Units
        stature : m, with its standard uncertainty; age : years
        seen : shape of the double that came round; measured : from film
    """

    age: float
    stature: float = USUAL_STATURE
    stature_off: float = USUAL_STATURE_OFF
    seen: Shape | None = None
    measured: Measured | None = None

    @property
    def time(self) -> float:
        """Time in the air, s: measured, or what is usual."""
        return self.measured.flight_time if self.measured else USUAL_TIME

    @property
    def knows(self) -> bool:
        """Whether anything says how much momentum she has."""
        return self.seen is not None or (self.measured is not None and self.measured.momentum is not None)


@dataclass(frozen=True)
class Margin:
    """How far she would come round in one shape, in turns, with the parts that the band is made of.

    Units
        made, over : turns in the air, and more than the 1.75 that a double turns there; negative is short
        time : s; needed, has : momentum over stature squared, 1/s
    """

    shape: Shape
    made: Band
    over: Band
    time: Band
    needed: Band
    has: Band


@dataclass(frozen=True)
class _Case:
    """One set of assumptions; each field is moved by its own uncertainty."""

    time: float
    turns_seen: float = TURNS_IN_THE_AIR
    turns_wanted: float = TURNS_IN_THE_AIR
    opened_late: float = 0.0  # in the double that was seen
    closed_late: float = 0.0
    opens_late: float = 0.0  # in the next
    closes_late: float = 0.0
    other_shape: float = 1.0
    momentum: float = 1.0  # factor on what was measured
    stature: float = USUAL_STATURE
    table: Table = "female"


def margin(has: Has, shape: Shape) -> Margin | None:
    """How far she would come round in a shape, or None where nothing says what momentum she has.

    >>> found = margin(Has(age=11, seen=Shape.TUCK), Shape.OPEN_TUCK)
    >>> found.over.least < found.over.middle < 0 < found.made.middle
    True
    """
    if not has.knows:
        return None
    case, offs = _assumed(has)

    def made(one: _Case) -> float:
        return _made(has, shape, one)

    return Margin(
        shape=shape,
        made=_band(made, case, offs | {"turns_wanted": 0.0}),
        over=_band(lambda c: made(c) - c.turns_wanted, case, offs),
        time=_flat(case.time, offs["time"]),
        needed=_band(lambda c: _needed(has, shape, c), case, offs),
        has=_band(lambda c: _momentum(has, c), case, offs),
    )


def need(has: Has, shape: Shape) -> Band:
    """Momentum over stature squared (1/s) that a double in this shape asks for in her time in the air."""
    case, offs = _assumed(has)
    return _band(lambda c: _needed(has, shape, c), case, offs)


def longer_flight(found: Margin, has: Has) -> Three:
    """By how many seconds longer she would have to fly, with her momentum: least, middle, most of its band."""
    known = pace(found.shape, has.age)
    return _each(found, lambda wanted: known.time_for(wanted, found.has.middle) - found.time.middle)


def more_spin(found: Margin, has: Has) -> Three:
    """By what share more momentum, in her time: least, middle, most."""
    known = pace(found.shape, has.age)
    return _each(found, lambda wanted: known.momentum_for(wanted, found.time.middle) / found.has.middle - 1)


def open_later(found: Margin, has: Has) -> Three:
    """By how many seconds later she would have to open: least, middle, most."""
    known = pace(found.shape, has.age)
    return _each(found, lambda wanted: known.later_for(wanted, found.has.middle, found.time.middle))


def close_more(found: Margin, has: Has) -> Three:
    """To how many degrees she would have to flex the hips, along a row from straight to tuck: least, middle, most."""
    row = pace_of_hips(has.age)
    return _each(found, lambda wanted: hips_for(wanted, found.has.middle, found.time.middle, row))


def _each(found: Margin, lever: Callable[[float], float | None]) -> Three:
    """A lever for the optimistic end of the margin's band, its middle, and the pessimistic end."""
    over = found.over
    changes = (over.middle - over.most, 0.0, over.middle - over.least)
    least, middle, most = (lever(TURNS_IN_THE_AIR + one) for one in changes)
    return least, middle, most


def _assumed(has: Has) -> tuple[_Case, dict[str, float]]:
    """What is taken for granted, and by how much each may be wrong."""
    film = has.measured
    seen_on_film = film is not None and film.momentum is not None
    return _Case(time=has.time, stature=has.stature), {
        "time": film.flight_time_off if film else USUAL_TIME_OFF,
        "turns_seen": 0.0 if seen_on_film else TURNS_OFF,
        "turns_wanted": TURNS_OFF,
        "opened_late": 0.0 if seen_on_film else OPENING_OFF,
        "closed_late": 0.0 if seen_on_film else TIMING_OFF,
        "opens_late": TIMING_OFF,
        "closes_late": TIMING_OFF,
        "other_shape": sqrt(BETWEEN_SHAPES**2 + TRANSVERSE**2) if seen_on_film else BETWEEN_SHAPES,
        "momentum": film.momentum_off / abs(film.momentum) if film and film.momentum else 0.0,
        "stature": has.stature_off if seen_on_film else 0.0,
    }


def _momentum(has: Has, case: _Case) -> float:
    """Momentum over stature squared, 1/s."""
    if has.measured is not None and has.measured.momentum is not None:
        return has.measured.momentum * case.momentum / case.stature**2
    assert has.seen is not None
    known = pace(has.seen, has.age, case.table)
    reach = known.reach(case.time, later=case.opened_late, sooner=-case.closed_late)
    return (case.turns_seen + known.limbs) / reach


def _made(has: Has, shape: Shape, case: _Case) -> float:
    known = _paced(shape, has.age, case)
    reach = known.reach(case.time, later=case.opens_late, sooner=-case.closes_late)
    return _momentum(has, case) * reach / case.other_shape - known.limbs


def _needed(has: Has, shape: Shape, case: _Case) -> float:
    known = _paced(shape, has.age, case)
    return (
        (case.turns_wanted + known.limbs)
        * case.other_shape
        / known.reach(case.time, later=case.opens_late, sooner=-case.closes_late)
    )


def _paced(shape: Shape, age: float, case: _Case) -> Pace:
    return pace(shape, age, case.table)


def _band(answer: Callable[[_Case], float], case: _Case, offs: Mapping[str, float]) -> Band:
    """First order: each assumption moved by its standard uncertainty both ways, the effects added as squares."""
    middle, parts = answer(case), {}
    for name, off in offs.items():
        if off:
            at = getattr(case, name)
            up, down = (answer(replace(case, **{name: at + s * off})) for s in (1, -1))
            parts[name.replace("_", " ")] = abs(up - down) / 2
    # the book does not say which table of proportions is hers
    parts["table of proportions"] = abs(answer(replace(case, table="male")) - middle) / 2
    half = COVERAGE * sqrt(sum(p * p for p in parts.values()))
    return Band(middle - half, middle, middle + half, parts)


def _flat(middle: float, off: float) -> Band:
    return Band(middle - COVERAGE * off, middle, middle + COVERAGE * off, {"flight time": off})
