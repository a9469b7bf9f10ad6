"""Days as they are written in letters: 18 to 19 October 2025."""

from __future__ import annotations

from datetime import date

MONTHS = (
    "January",
    "February",
    "March",
    "April",
    "May",
    "June",
    "July",
    "August",
    "September",
    "October",
    "November",
    "December",
)


def day(when: date) -> str:
    """One day.

    >>> day(date(2025, 10, 18))
    '18 October 2025'
    """
    return f"{when.day} {MONTHS[when.month - 1]} {when.year}"


def days(first: date, last: date) -> str:
    """From one day to another, without saying twice what both share.

    >>> days(date(2025, 10, 18), date(2025, 10, 19)), days(date(2025, 10, 31), date(2025, 11, 1))
    ('18 to 19 October 2025', '31 October to 1 November 2025')
    """
    if first == last:
        return day(last)
    if first.year != last.year:
        return f"{day(first)} to {day(last)}"
    if first.month != last.month:
        return f"{first.day} {MONTHS[first.month - 1]} to {day(last)}"
    return f"{first.day} to {day(last)}"


def month(when: date) -> str:
    """The month, short, with its year.

    >>> month(date(2025, 10, 18))
    'Oct 2025'
    """
    return f"{MONTHS[when.month - 1][:3]} {when.year}"
