"""What the next rung would ask for, beside what is known of her flight and spin: a sentence with its band.

It works out, it clears nobody: whether she tries anything, and on what, a qualified coach decides.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import sqrt

from loftbook.insight.margin import (
    Has,
    Margin,
    Three,
    close_more,
    longer_flight,
    margin,
    more_spin,
    need,
    open_later,
)
from loftbook.insight.next_rungs import shape_of
from loftbook.insight.next_step_told import (
    elsewhere,
    lever_words,
    missing,
    rests_on,
    sentence,
    taller_words,
    tighter_words,
)
from loftbook.insight.pace import body_shape, pace
from loftbook.ladder.rungs import Rung
from loftbook.ladder.scales import Shape
from loftbook.mechanics import Band, body, holding_at
from loftbook.mechanics.bands import COVERAGE
from loftbook.mechanics.budget import TURNS_IN_THE_AIR

OPEN_ENDS = 0.25  # s, of the 0.30 s in which the model's body is open before it lands


@dataclass(frozen=True)
class Lever:
    """One change that alone would close the gap: for the kind end of the band, its middle and the hard end.

    Units
        as `unit` says; None where nothing in reach would
    """

    name: str
    least: float | None
    middle: float | None
    most: float | None
    unit: str
    words: str


@dataclass(frozen=True)
class Hold:
    """What holding the shape asks of both hips at the spin that just brings it round, beside a tuck.

    Units
        hip, tuck : body weight x stature; hand : body weight for each hand at mid-shin, None where hands cannot help
    """

    hip: Band
    tuck: Band
    hand: Band | None
    words: str


@dataclass(frozen=True)
class NextStep:
    """One rung that she has not done alone, against what is known.

    Units
        needed : momentum over stature squared (1/s) that it asks for; margin : None where nothing says what she has
    """

    rung: str
    name: str
    shape: Shape
    needed: Band
    margin: Margin | None
    levers: tuple[Lever, ...]
    hold: Hold
    taller: str
    elsewhere: tuple[str, ...]
    sentence: str
    rests_on: tuple[str, ...]
    missing: tuple[str, ...]
    filmed: bool = False  # whether film measured the spin that it rests on


def next_step(rung: Rung, has: Has, *, height_known: bool, may_be_filmed: bool) -> NextStep:
    """What one rung would ask for, what she brings, what would close a gap, and what is missing to say more."""
    shape = shape_of(rung)
    found = margin(has, shape)
    return NextStep(
        rung=rung.key,
        name=rung.name,
        shape=shape,
        needed=need(has, shape),
        margin=found,
        levers=_levers(found, has) if found else (),
        hold=_hold(shape, has),
        taller=taller_words(found, has),
        elsewhere=tuple(elsewhere(shape, has)),
        sentence=sentence(shape, found, has),
        rests_on=rests_on(has, height_known=height_known),
        missing=missing(has, height_known=height_known, may_be_filmed=may_be_filmed),
        filmed=has.measured is not None and has.measured.momentum is not None,
    )


def _levers(found: Margin, has: Has) -> tuple[Lever, ...]:
    """Only where the band reaches into short; each alone, the rest as it is."""
    if found.over.least >= 0:
        return ()
    time = longer_flight(found, has)
    spin = _per_cent(more_spin(found, has))
    later, hips = open_later(found, has), close_more(found, has)
    late = _in_reach(later)
    return (
        Lever("more flight", *time, "s", lever_words("more time in the air", time, "{:.2f} s")),
        Lever("more spin", *spin, "%", lever_words("more spin at take-off", spin, "{:.0f} %")),
        Lever("longer in the shape", *late, "s", lever_words("opening later", late, "{:.2f} s")),
        Lever("a tighter shape", *hips, "°", tighter_words(found.shape, hips)),
    )  # fmt: skip


def _per_cent(shares: Three) -> Three:
    least, middle, most = (None if one is None else 100 * one for one in shares)
    return least, middle, most


def _in_reach(later: Three) -> Three:
    """Without what would come after landing."""
    least, middle, most = (one if one is not None and one <= OPEN_ENDS else None for one in later)
    return least, middle, most


def _hold(shape: Shape, has: Has) -> Hold:
    hip, hand = _held(shape, has)
    tucked, _ = _held(Shape.TUCK, has)
    ratio = hip.middle / tucked.middle if tucked.middle > 0 else 0.0
    beside = f", {ratio:.1f} times as much as in a tuck" if shape is not Shape.TUCK and ratio > 0.05 else ""
    pull = (
        f"; each hand at mid-shin would pull {hand.middle:.2f} ({hand.least:.2f} to {hand.most:.2f}) body weights to "
        "do that work instead"
        if hand is not None and shape in (Shape.TUCK, Shape.OPEN_TUCK)
        else ""
    )
    if hip.middle <= 0.002:
        return Hold(hip, tucked, hand, "A straight body needs no pull to be held closed.")
    thigh = body(has.stature, "female", age=min(max(has.age, 5.0), 99.0)).lengths["thigh"] / has.stature
    low, middle, high = (one / thigh for one in (hip.least, hip.middle, hip.most))
    return Hold(
        hip,
        tucked,
        hand,
        f"At the spin that just brings it round, it pulls her open as if {middle:.1f} ({low:.1f} to {high:.1f}) "
        f"body weights hung from her knees, thighs level{beside}; both hips together hold that{pull}. In recorded "
        "doubles hips held about half of what this model says. No norms for children were found.",
    )


def _held(shape: Shape, has: Has) -> tuple[Band, Band | None]:
    """Moment of both hips and pull of each hand at the spin that just brings the shape round."""
    known = pace(shape, has.age)
    momentum = known.momentum_for(TURNS_IN_THE_AIR, has.time)
    somebody = body(has.stature, "female", age=min(max(has.age, 5.0), 99.0))
    at = holding_at(somebody, body_shape(shape), spin=momentum / known.held)
    wanted = need(has, shape)
    spin = (wanted.most - wanted.middle) / wanted.middle / COVERAGE
    off = sqrt(
        (2 * spin) ** 2 + (has.stature_off / has.stature) ** 2 + 0.1**2
    )  # a tenth: shares of leg and trunk
    hand = None if at.hand is None else _relative(at.hand, off)
    return _relative(at.hip, off), hand


def _relative(middle: float, off: float) -> Band:
    half = abs(COVERAGE * off * middle)
    return Band(middle - half, middle, middle + half)
