"""What people type about a film, as values: a click, a bed line, a word on filming; each mistake a sentence."""

from __future__ import annotations

from datetime import date
from math import isfinite

from loftbook.book.consent import Purpose
from loftbook.desk.film.consenting import Spoken
from loftbook.desk.film.correcting import SPEEDS
from loftbook.desk.film.port import Click, Given
from loftbook.errors import RangeError, Refused


def click_of(text: str) -> Click | None:
    """A click as it is typed: X,Y,FRAME; nothing for nothing.

    >>> click_of("640,410.5,12"), click_of("")
    (Click(x=640.0, y=410.5, frame=12), None)
    """
    if not text.strip():
        return None
    numbers = _numbers(text, 3, "a click", "X,Y,FRAME, as in 640,410,12")
    if numbers[2] != int(numbers[2]):
        raise Refused(f"frame {numbers[2]:g}", "a whole number", "count frames from 0")
    return Click(numbers[0], numbers[1], int(numbers[2]))


def bed_of(text: str) -> tuple[float, float, float, float] | None:
    """A bed line as it is typed: X1,Y1,X2,Y2.

    >>> bed_of("0,600,1280,610")
    (0.0, 600.0, 1280.0, 610.0)
    """
    if not text.strip():
        return None
    x1, y1, x2, y2 = _numbers(text, 4, "a bed line", "X1,Y1,X2,Y2, as in 0,600,1280,610")
    return x1, y1, x2, y2


def given_for(
    *, stature: float | None = None, bed: tuple[float, float, float, float] | None = None, speed: int = 1
) -> Given:
    """What somebody says about a film that no book knows."""
    if speed not in SPEEDS:
        raise RangeError(f"{speed} times slower", "1, 2, 4 or 8", "look at what the phone was set to")
    return Given(stature=stature, bed=bed, speed=None if speed == 1 else float(speed))


def spoken(purpose: str, word: str, said_by: str, recorded_by: str, until: date | None = None) -> Spoken:
    """A word on filming as it is typed.

    >>> spoken("filming", "Yes", "a parent", "H. Alder").allowed
    True
    """
    known = {one.value: one for one in Purpose}
    if purpose.strip().lower() not in known:
        raise Refused(f"a word on {purpose[:40]!r}", f"one of {', '.join(known)}", "choose one of them")
    answers = {"yes": True, "no": False}
    if word.strip().lower() not in answers:
        raise Refused(f"the word {word[:40]!r}", "yes or no", "write one of them")
    return Spoken(known[purpose.strip().lower()], answers[word.strip().lower()], said_by, recorded_by, until)


def _numbers(text: str, count: int, what: str, how: str) -> list[float]:
    try:
        numbers = [float(part) for part in text.split(",")]
    except ValueError:
        numbers = []
    if len(numbers) != count or not all(map(isfinite, numbers)):
        raise Refused(f"{what} {text[:60]!r}", how, "type numbers with commas between them")
    return numbers
