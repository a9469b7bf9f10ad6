"""Dates as people type them, and whether the day or the month stands first.

A single date such as 03/05/2013 cannot tell; its column often can, because some
other row has a number above twelve. Where nothing decides, both readings are given
and the coach is asked.
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Literal

from loftbook.book.typed.words import MONTH_NAMES, MONTHS, fold, shortened

Order = Literal["day", "month", ""]

_NUMERIC = re.compile(r"(\d{1,4})\s*([./-])\s*(\d{1,2})\s*([./-])\s*'?(\d{1,4})\.?")
_CLOCK = re.compile(r"[T\s]+\d{1,2}:\d{2}(:\d{2}(\.\d+)?)?Z?$")
_WEEKDAY = re.compile(
    r"^(mon|tue|wed|thu|fri|sat|sun|mo|di|mi|do|fr|sa|so|lun|mar|mer|jeu|ven|sam|dim|mie|jue|vie|sab|dom)"
    r"[a-zäéá]*[.,]?\s+(?=\d)",
    re.IGNORECASE,
)
_DAY_NAME = re.compile(
    r"(\d{1,2})(?:st|nd|rd|th|er|\.)?\s*(?:of\s+|de\s+)?([a-z]+)\s*(?:of\s+|de\s+|del\s+)?'?(\d{2,4})"
)
_NAME_DAY = re.compile(r"([a-z]+)\s*(\d{1,2})(?:st|nd|rd|th)?\s+'?(\d{2,4})")
_YEAR_NAME = re.compile(r"(\d{4})\s*([a-z]+)\s*(\d{1,2})")
# Spreadsheets count days from 30 December 1899 (serial 1 is the last day of that year).
_SERIAL_ZERO = date(1899, 12, 30)
_SERIALS = range(14_000, 60_000)  # 1938 to 2064


@dataclass(frozen=True)
class DateReading:
    """A typed date: the day, or the two days it could be, or the problem in words.

    `note` says what a reader should know of a day that was found (a serial number).
    """

    day: date | None = None
    either: tuple[date, ...] = ()
    problem: str = ""
    note: str = ""


@dataclass(frozen=True)
class OrderEvidence:
    """What a column says of its own dates: how many can only be read in one order."""

    order: Order
    day_first: int
    month_first: int
    undecided: int  # dates that read differently in the two orders and decide nothing
    sentence: str


def read_date(text: str, *, today: date, order: Order = "") -> DateReading:
    """One typed date. `order` tells whether day or month stands first in 03/05/2013.

    Years of two digits lie in the hundred years up to `today`.

    >>> read_date("09.08.17", today=date(2026, 1, 1), order="day").day
    datetime.date(2017, 8, 9)
    >>> read_date("2014-31-02", today=date(2026, 1, 1)).problem
    'there is no month 31'
    """
    text = _CLOCK.sub("", text.strip())
    reading = _read(text, today, order)
    without = _WEEKDAY.sub("", text)  # only now, as “Mar 3, 2015” is no Tuesday
    return reading if reading.day or without == text else _read(without, today, order)


def _read(text: str, today: date, order: Order) -> DateReading:
    numeric = _NUMERIC.fullmatch(text)
    if numeric:
        return _numeric(numeric, today, order)
    if re.fullmatch(r"\d{8}", text):
        return _checked(int(text[:4]), int(text[4:6]), int(text[6:]))
    if re.fullmatch(r"\d{5}(\.0+)?", text) and int(text[:5]) in _SERIALS:
        day = _SERIAL_ZERO + timedelta(days=int(text[:5]))
        return DateReading(day, note=f"{text} read as a spreadsheet's day number")
    if re.fullmatch(r"(19|20)\d{2}([./-]\d{1,2})?|\d{1,2}[./-](19|20)\d{2}", text):
        return DateReading(problem="a whole date is needed, with day, month and year")
    return _with_month_name(text, today)


def _numeric(found: re.Match[str], today: date, order: Order) -> DateReading:
    first, sign, second, other, third = found.groups()
    if sign != other:
        return DateReading(problem=f"“{found.group()}” mixes two ways of writing a date")
    if len(first) == 4:
        return _checked(int(first), int(second), int(third))
    if len(first) > 2 or len(third) not in (2, 4):
        return DateReading(problem=f"the year in “{found.group()}” has an odd number of digits")
    year = _year(third, today)
    by_day, by_month = _checked(year, int(second), int(first)), _checked(year, int(first), int(second))
    if sign == "-" and len(third) == 2 and _year(first, today) > 2000 and int(third) <= 31:
        by_year = _checked(_year(first, today), int(second), int(third))
        days = dict.fromkeys(r.day for r in (by_day, by_year) if r.day)
        if len(days) > 1:
            return DateReading(
                either=tuple(d for d in days if d), problem="the year could stand first or last"
            )
        return by_day if by_day.day else by_year
    if not order and by_day.day and by_month.day and by_day.day != by_month.day:
        return DateReading(either=(by_day.day, by_month.day), problem="day and month cannot be told apart")
    chosen = by_month if order == "month" or (not order and by_month.day and not by_day.day) else by_day
    if not chosen.day and order:  # one date of its own order in a column of the other
        other_way = by_day if chosen is by_month else by_month
        if other_way.day:
            return DateReading(other_way.day, note=f"“{found.group()}” read against the order of its column")
    return chosen


def _year(text: str, today: date) -> int:
    if len(text) == 4:
        return int(text)
    year = today.year // 100 * 100 + int(text)
    return year - (100 if year > today.year else 0)


def _checked(year: int, month: int, day: int) -> DateReading:
    if not 1 <= month <= 12:
        return DateReading(problem=f"there is no month {month}")
    try:
        return DateReading(date(year, month, day))
    except ValueError:
        if not 1 <= year <= 9999:
            return DateReading(problem=f"there is no year {year}")
        return DateReading(problem=f"{MONTH_NAMES[month - 1]} {year} has no day {day}")


def _with_month_name(text: str, today: date) -> DateReading:
    plain = fold(text)
    for form, places in ((_DAY_NAME, (2, 1, 0)), (_NAME_DAY, (2, 0, 1)), (_YEAR_NAME, (0, 1, 2))):
        found = form.fullmatch(plain)
        if not found:
            continue
        year, month, day = (found.groups()[i] for i in places)
        if month in MONTHS and len(year) in (2, 4):
            return _checked(_year(year, today), MONTHS[month], int(day))
    return DateReading(problem=f"“{shortened(text, 30)}” is not a date in any form known here")


def date_order(cells: Iterable[str]) -> OrderEvidence:
    """Whether the day or the month stands first in a column, from the dates that can only be read one way.

    Dates with points between the numbers stand for the day first unless one of them
    cannot; slashes and dashes have no such custom.

    >>> date_order(["26/08/2016", "03/05/2013"]).order
    'day'
    >>> date_order(["03/05/2013"]).order
    ''
    """
    day_first = month_first = 0
    undecided: list[str] = []
    for text in cells:
        found = _NUMERIC.fullmatch(_CLOCK.sub("", text.strip()))
        if not found or len(found[1]) == 4 or found[2] != found[4]:
            continue
        a, b = int(found[1]), int(found[3])
        if a > 12 >= b:
            day_first += 1
        elif b > 12 >= a:
            month_first += 1
        elif a != b and a <= 12 and b <= 12:
            undecided.append(found[2])
    return _weighed(day_first, month_first, undecided)


def _weighed(day_first: int, month_first: int, undecided: list[str]) -> OrderEvidence:
    counts = (day_first, month_first, len(undecided))
    if day_first and not month_first:
        sentence = f"Dates: day before month, as {day_first} of them can only be read that way."
        return OrderEvidence("day", *counts, sentence)
    if month_first and not day_first:
        sentence = f"Dates: month before day, as {month_first} of them can only be read that way."
        return OrderEvidence("month", *counts, sentence)
    if not undecided:
        return OrderEvidence("", *counts, "Dates: none of them depends on whether day or month stands first.")
    if not month_first and set(undecided) == {"."}:
        return OrderEvidence(
            "day", *counts, "Dates: day before month, as is the custom with points (09.08.17)."
        )
    if day_first:
        why = f"{day_first} of them can only be read day first, {month_first} only month first"
    else:
        why = "no date of the column has a number above 12"
    return OrderEvidence(
        "", *counts, f"Dates: day and month cannot be told apart in {len(undecided)} of them; {why}."
    )
