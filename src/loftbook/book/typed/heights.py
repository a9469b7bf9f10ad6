"""Standing heights as people type them: metres, centimetres, feet and inches."""

from __future__ import annotations

import re
from dataclasses import dataclass

from loftbook.book.typed.words import fold, shortened
from loftbook.units import metres_from_cm

# Common practice, no source: what a child of four to a grown gymnast can measure.
LOWEST, HIGHEST = 0.80, 2.20
INCH = 0.0254  # metre, exactly (international yard and pound agreement, 1959)
FOOT = 12 * INCH

_FEET = re.compile(
    r"(\d)\s*(?:['’′`´]|ft\.?|feet|foot)\s*(?:(\d{1,2}(?:[.,]\d+)?)\s*(?:[\"”″“]|''|’’|in\.?|inch|inches)?)?"
)
_SPLIT = re.compile(r"([12])\s*m\s*(\d{2})(?:\s*cm)?")
_PLAIN = re.compile(r"(\d{1,4}(?:[.,]\d{1,4})?)\s*([a-z\"”″]*)\.?")
_UNITS = {"m": 1.0, "cm": 0.01, "mm": 0.001, "in": INCH, "ft": FOOT}
_UNIT_WORDS = {
    "m": "m mtr meter metre metres meters metro metros mètre mètres",
    "cm": "cm cms zentimeter centimetre centimetres centimeter centimeters",
    "mm": "mm",
    "in": 'in inch inches " ” ″',
    "ft": "ft feet foot",
}
_UNIT = {word: unit for unit, words in _UNIT_WORDS.items() for word in words.split()}


@dataclass(frozen=True)
class HeightReading:
    """A typed height in metres, or the problem in words; `note` says how a bare number was read."""

    metres: float | None = None
    problem: str = ""
    note: str = ""


def unit_in_heading(heading: str) -> str:
    """The unit that a heading names, empty if it names none.

    >>> unit_in_heading("Height cm"), unit_in_heading("Größe")
    ('cm', '')
    """
    words = fold(heading).split()
    return next((_UNIT[w] for w in reversed(words) if w in _UNIT and w != "in"), "") or (
        "in" if words and words[-1] == "in" and len(words) > 1 else ""
    )


def read_height(text: str, *, unit: str = "") -> HeightReading:
    r"""One typed height, in metres. `unit` is what the heading names, for bare numbers.

    A unit beside the number wins over the heading. A bare number that cannot be in
    the heading's unit is read in the one in which a gymnast can have it, and says so.

    >>> [read_height(t).metres for t in ("1,40 m", "159", "1.58", "4'9\"")]
    [1.4, 1.59, 1.58, 1.448]
    >>> read_height("14.5 m").problem
    'a height of 14.5 m is not that of a gymnast (0.80 to 2.20 m)'
    """
    plain = text.strip().casefold()
    feet = _FEET.fullmatch(plain)
    if feet:
        inches = float((feet[2] or "0").replace(",", "."))
        if inches >= 12:
            return HeightReading(problem=f"“{shortened(text, 20)}” has more than eleven inches to the foot")
        return _within(int(feet[1]) * FOOT + inches * INCH, text)
    split = _SPLIT.fullmatch(plain)
    if split:
        return _within(int(split[1]) + metres_from_cm(int(split[2])), text)
    found = _PLAIN.fullmatch(plain)
    if not found or (found[2] and found[2] not in _UNIT):
        return HeightReading(problem=f"“{shortened(text, 20)}” is not a height; write 140 or 1.40 m")
    number = float(found[1].replace(",", "."))
    if found[2]:
        return _within(number * _UNITS[_UNIT[found[2]]], text)
    return _bare(number, text, unit)


def _within(metres: float, text: str) -> HeightReading:
    if LOWEST <= metres <= HIGHEST:
        return HeightReading(round(metres, 3))
    typed = shortened(text.strip(), 20)
    return HeightReading(
        problem=f"a height of {typed} is not that of a gymnast ({LOWEST:.2f} to {HIGHEST:.2f} m)"
    )


def _bare(number: float, text: str, unit: str) -> HeightReading:
    if unit and LOWEST <= number * _UNITS[unit] <= HIGHEST:
        return HeightReading(round(number * _UNITS[unit], 3))
    for other in ("cm", "m"):
        if LOWEST <= number * _UNITS[other] <= HIGHEST:
            note = f"{text.strip()} read in {other}, though the heading says {unit}" if unit else ""
            return HeightReading(round(number * _UNITS[other], 3), note=note)
    return _within(-1.0, text)
