"""The next step in words: each with its band, nothing as a promise."""

from __future__ import annotations

from collections.abc import Sequence

from loftbook.insight.margin import USUAL_TIME, USUAL_TIME_OFF, Has, Margin, need
from loftbook.insight.pace import pace
from loftbook.ladder.rungs import Rung
from loftbook.ladder.scales import Shape
from loftbook.mechanics import Band
from loftbook.mechanics.bands import COVERAGE
from loftbook.mechanics.budget import TURNS_IN_THE_AIR
from loftbook.units import turn

TALLER = 0.05  # m that a growing child gains in a season or two
# Time in the air elsewhere: from memory, unverified
ELSEWHERE: tuple[tuple[str, float, float], ...] = (("a tumble track", 1.0, 1.2), ("the floor", 0.95, 1.1))
DECIDES = "This is worked out, and no leave to try anything: a qualified coach decides."
_IN = {
    Shape.TUCK: "in a tuck",
    Shape.OPEN_TUCK: "in an open tuck",
    Shape.PUCK: "in a puck",
    Shape.PIKE: "in a pike",
    Shape.STRAIGHT: "with a straight body",
}


def sentence(shape: Shape, found: Margin | None, has: Has) -> str:
    """The sentence beside her name, with its band and where it comes from."""
    what = f"a double back {_IN[shape]}"
    if found is None:
        return (
            f"Nothing written says how much spin she has, so nothing can be said of {what}. "
            f"It would ask for {_spin_words(need(has, shape), shape, has)}."
        )
    if has.measured and has.measured.momentum is not None:
        have = "the flight and the spin she has"
    else:
        time = f"{has.time:.2f} s in the air" if has.measured else f"an assumed {has.time:.2f} s in the air"
        have = f"the spin that her double back {_IN[has.seen or shape]} shows at least, and {time}"
    over = found.over
    told = f"{told_degrees(over.middle)} ({told_degrees(over.least)} to {told_degrees(over.most)})"
    unsure = "; short and enough cannot be told apart" if over.least < 0 < over.most else ""
    return f"With {have}, {what} would come round {told}{unsure}."


def told_degrees(turns: float) -> str:
    """A margin in words, to ten degrees: nobody sees less.

    >>> told_degrees(-0.33), told_degrees(0.06), told_degrees(0.001)
    ('120° short', '20° to spare', 'just enough')
    """
    degrees = 10 * round(36 * turns)
    if degrees == 0:
        return "just enough"
    return f"{abs(degrees)}° {'to spare' if degrees > 0 else 'short'}"


def missing(has: Has, *, height_known: bool, may_be_filmed: bool) -> tuple[str, ...]:
    """What is not known, and how to get it."""
    found = []
    if has.measured is None or has.measured.momentum is None:
        ask = "" if may_be_filmed else "ask for leave to film first, then "
        what = "Her flight and spin are"
        if has.measured:
            where = f" in a double back {_IN[has.seen]}" if has.seen else ""
            what = f"Film tells her time in the air, but her spin{where} is"
        found.append(
            f"{what} not measured: {ask}film two attempts from the side, the camera still, take-off and landing both "
            "in the picture."
        )
    if not height_known:
        found.append(
            "No height is written: measure her standing, without shoes, and write the day beside it."
        )
    if has.seen is None:
        found.append("No double that came round with nobody in is written down.")
    return tuple(found)


def rests_on(has: Has, *, height_known: bool) -> tuple[str, ...]:
    """What the sentence rests on, one thing after another."""
    film = has.measured
    told = []
    if film is not None:
        off = COVERAGE * film.flight_time_off
        told.append(f"{film.words}: {film.flight_time:.2f} ± {off:.2f} s in the air")
        if film.momentum is not None:
            told.append(_filmed_spin(film.momentum, film.momentum_off, has))
    else:
        told.append(
            f"{USUAL_TIME:.2f} ± {COVERAGE * USUAL_TIME_OFF:.2f} s in the air, assumed: usual for 11 to 14 years, from "
            "memory, unverified"
        )
    if has.seen is not None and (film is None or film.momentum is None):
        told.append(f"that a double back {_IN[has.seen]} came round with nobody in: so much spin at least")
    height = f"{100 * has.stature:.0f} cm of standing height"
    on_film = film is not None and film.momentum is not None
    assumed = "the band allows for it" if on_film else "the margin hardly depends on it"
    told.append(height if height_known else f"{height}, assumed; {assumed}")
    told.append(
        "a body of average proportions, 1.75 turns in the air (1.6 to 1.9 recorded in real doubles), opening from "
        "0.60 to 0.30 s before landing"
    )
    return tuple(told)


def _filmed_spin(momentum: float, off: float, has: Has) -> str:
    square = has.stature**2
    tucked = turns_a_second(momentum / square, Shape.TUCK, has.age)
    about = 100 * COVERAGE * off / momentum
    return (
        f"her spin on film: in a tuck it would be {tucked:.1f} turns a second, give or take {about:.0f} % (angular "
        f"momentum {momentum:.2f} m²/s for each kilogram)"
    )


def beyond_words(rungs: Sequence[Rung]) -> tuple[str, ...]:
    """What is not worked out, why, and what would be missing to do it; nothing where no such rung follows."""
    kinds: tuple[tuple[str, list[Rung]], ...] = (
        (
            "a twist hangs on when her arms move, to the hundredth of a second, and that is measured of nobody: the "
            "studio shows what ten milliseconds do. To say more: her side of twist, and film from two sides",
            [one for one in rungs if one.skill and any(one.skill.half_twists)],
        ),
        (
            "her time in the air and her spin from there are not known: film two attempts there",
            [one for one in rungs if one.skill and not any(one.skill.half_twists)],
        ),
    )
    return tuple(
        f"Not worked out: {'; '.join(one.name for one in some)}. Why: {why}."
        + (
            " In a belt the ropes carry part of her, so a free flight does not tell of it."
            if _belt(some)
            else ""
        )
        for why, some in kinds
        if some
    )


def _belt(rungs: Sequence[Rung]) -> bool:
    return any(one.belt for one in rungs)


def taller_words(found: Margin | None, has: Has) -> str:
    """What a few centimetres of growth change."""
    factor = ((has.stature + TALLER) / has.stature) ** 2
    first = (
        f"{100 * TALLER:.0f} cm taller, the same double asks for {100 * (factor - 1):.0f} % more spin at take-off. If "
        "she leaves the bed with the same snap as now, she brings it along and turns as far as now"
    )
    if found is None:
        return first + "."
    known = pace(found.shape, has.age)
    lost = [
        (made + known.limbs) * (1 - 1 / factor)
        for made in (found.made.least, found.made.middle, found.made.most)
    ]
    degrees = [round(360 * one / 5) * 5 for one in lost]
    return (
        f"{first}; with no more of it than now she would turn {degrees[1]}° less "
        f"({degrees[0]}° to {degrees[2]}°)."
    )


def elsewhere(shape: Shape, has: Has) -> list[str]:
    """What the same shape asks for where there is less time in the air."""
    known = pace(shape, has.age)
    here = known.momentum_for(TURNS_IN_THE_AIR, has.time)
    told = []
    for name, low, high in ELSEWHERE:
        if low >= has.time:
            continue
        more = [known.momentum_for(TURNS_IN_THE_AIR, time) / here for time in (high, low)]
        told.append(
            f"From {name} there are about {low:g} to {high:g} s in the air (from memory, unverified): the same shape "
            f"would ask for {more[0]:.1f} to {more[1]:.1f} times the spin."
        )
    return told


def lever_words(what: str, values: tuple[float | None, ...], form: str) -> str:
    """Such as "0.24 s more time in the air (none to 0.48 s)"."""
    least, middle, most = values
    if middle is None:
        kind = (
            "nothing is asked" if least is not None and least <= 0 else f"{form.format(least or 0.0)} would"
        )
        end = "" if least is None else f"; at the best end of the band {kind}"
        return f"{what} alone would not be enough{end}"
    low = "none" if least is None or least <= 0 else form.format(least)
    high = "more than there is" if most is None else form.format(most)
    about = form.format(middle) if middle > 0 else "nothing"
    return f"{what}: {about} ({low} to {high})"


def tighter_words(shape: Shape, hips: tuple[float | None, ...]) -> str:
    """How far the hips would have to close, and that it is another shape then."""
    least, middle, most = hips
    if middle is None:
        return "no tighter shape alone would be enough"
    high = "more than a tight tuck" if most is None else f"{most:.0f}°"
    low = "less" if least is None else f"{least:.0f}°"
    other = "" if shape is Shape.TUCK else ", along a row towards the tuck, which makes it another shape"
    return f"hips closed to {middle:.0f}° of flexion ({low} to {high}){other}"


def _spin_words(needed: Band, shape: Shape, has: Has) -> str:
    low, middle, high = (
        turns_a_second(one, shape, has.age) for one in (needed.least, needed.middle, needed.most)
    )
    time = f"{has.time:.2f} s in the air" if has.measured else f"an assumed {has.time:.2f} s in the air"
    return f"{middle:.1f} turns a second ({low:.1f} to {high:.1f}) while she holds the shape, in {time}"


def turns_a_second(momentum: float, shape: Shape, age: float) -> float:
    """How quickly a body turns in a shape.

    Units
        momentum : over stature squared, 1/s; returns turns a second

    Source
        law: momentum over inertia
    """
    return momentum / pace(shape, age).held / turn
