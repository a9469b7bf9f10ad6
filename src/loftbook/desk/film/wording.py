"""A reading in words and figures, for a terminal, a page or a list: as many digits as its uncertainty allows."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from math import floor, isfinite, log10

from loftbook.film.reading import Reading
from loftbook.mechanics.flight import Trust, Verdict

TRUST_WORDS = {Trust.GOOD: "sound", Trust.DOUBTFUL: "doubtful", Trust.NONE: "cannot tell"}
_NO_SPACE = ("°", "°/s")
_MOST = 4  # digits after the point, whatever the uncertainty says


def value_words(reading: Reading) -> str:
    """The value with its uncertainty and unit; a dash where there is none.

    The uncertainty is one standard deviation and keeps two digits where its first is 1
    or 2, else one; the value ends where the uncertainty does.

    >>> sure = Verdict(Trust.GOOD, "Feet seen at both ends.")
    >>> value_words(Reading("time of flight", 1.5507, "s", 0.0042, sure, "feet", "time of flight/1"))
    '1.551 ± 0.004 s'
    >>> value_words(Reading("rotation", -698.3, "°", 4.8, sure, "trunk", "rotation/1"))
    '−698 ± 5°'
    >>> value_words(Reading("shape", "open tuck", "", None, sure, "hip and knee", "shape/1"))
    'open tuck'
    """
    if reading.value is None:
        return "–"
    if isinstance(reading.value, str):
        return reading.value
    digits = _digits(reading.uncertainty)
    text = f"{reading.value:.{digits}f}"
    if reading.uncertainty is not None and isfinite(reading.uncertainty):
        text += f" ± {reading.uncertainty:.{digits}f}"
    unit = reading.unit if reading.unit in _NO_SPACE or not reading.unit else f" {reading.unit}"
    return text.replace("-", "−") + unit


def _digits(uncertainty: float | None) -> int:
    if uncertainty is None or not isfinite(uncertainty) or uncertainty <= 0:
        return 2
    place = floor(log10(uncertainty))
    two = uncertainty / 10**place < 2.95  # 0.012 keeps both its digits, 0.04 its one
    return int(min(_MOST, max(0, -place + two)))


def trust_words(verdict: Verdict) -> str:
    """One word for how far to trust something.

    >>> trust_words(Verdict(Trust.NONE, "Nobody flew."))
    'cannot tell'
    """
    return TRUST_WORDS[verdict.trust]


@dataclass(frozen=True)
class Told:
    """One reading in words: name, value, how far to trust it, what it rests on, and why not where it is not sound."""

    name: str
    value: str
    trust: str
    basis: str
    why: str
    number: bool  # whether there is a value at all


def reading_rows(readings: Iterable[Reading]) -> tuple[Told, ...]:
    """Readings in words, in their order."""
    return tuple(
        Told(
            name=one.name,
            value=value_words(one),
            trust=trust_words(one.verdict),
            basis=one.basis,
            why="" if one.verdict.trust is Trust.GOOD else one.verdict.sentence,
            number=one.value is not None,
        )
        for one in readings
    )


HEADLINE = ("time of flight", "rotation", "shape")


def headline(readings: Iterable[Reading]) -> str:
    """The three readings that a coach asks for first, in one line; those that cannot be told are left out.

    >>> sure = Verdict(Trust.GOOD, "Seen.")
    >>> shape = Reading("shape", "tuck", "", None, sure, "", "")
    >>> headline([shape, Reading("time of flight", 1.55, "s", 0.01, sure, "", "")])
    'time of flight 1.550 ± 0.010 s, shape tuck'
    """
    told = {
        one.name: one for one in readings if one.value is not None and one.verdict.trust is not Trust.NONE
    }
    return ", ".join(f"{name} {value_words(told[name])}" for name in HEADLINE if name in told)
