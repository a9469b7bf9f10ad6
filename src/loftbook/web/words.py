"""Values as the words a coach reads. Formatting only: nothing here works anything out."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date, datetime
from typing import Any

from loftbook.insight.standing import Standing, State
from loftbook.ladder.scales import Help
from loftbook.units import cm_from_metres

MONTHS = "January February March April May June July August September October November December".split()

MEANINGS = {
    "ALONE": "Met the camp’s standard of the rung with nobody in, as a rule from the trampoline to the soft mat. "
    "A rung that asks for a belt or a hand is met with that help: the form is the same, the word is “as it asks”, "
    "with the help beside it, and it is no turn alone.",
    "HELPED": "Did it with more help, or on other surfaces, than the standard asks for; which ones stands beside it.",
    "TRIED": "Took off for it and did not meet the ladder’s own words for “did it”.",
    "NOT_TRIED": "She was there and this rung was not her turn.",
    "STOPPED": "Stopped on the way: short twice, pain, fear, or asked to. Stopped, not failed.",
    "DECLINED": "She chose not to, today.",
    "NOT_ALLOWED": "Not allowed today, for example because of an injury.",
    "ABSENT": "She was not there.",
    "NO_RECORD": "Nobody wrote anything. It stands for none of the others, and has no form.",
}


def day(value: date | None) -> str:
    """A day in words.

    >>> day(date(2026, 4, 5))
    '5 April 2026'
    """
    return "" if value is None else f"{value.day} {MONTHS[value.month - 1]} {value.year}"


def short_day(value: date | None) -> str:
    """A day where there is little room.

    >>> short_day(date(2026, 4, 5))
    '5 Apr 2026'
    """
    return "" if value is None else f"{value.day} {MONTHS[value.month - 1][:3]} {value.year}"


def days(starts: date, ends: date) -> str:
    """From one day to another, said once what they share.

    >>> days(date(2026, 4, 11), date(2026, 4, 12)), days(date(2026, 4, 30), date(2026, 5, 1))
    ('11–12 April 2026', '30 April – 1 May 2026')
    """
    if starts == ends:
        return day(starts)
    if (starts.year, starts.month) == (ends.year, ends.month):
        return f"{starts.day}–{day(ends)}"
    if starts.year == ends.year:
        return f"{starts.day} {MONTHS[starts.month - 1]} – {day(ends)}"
    return f"{day(starts)} – {day(ends)}"


def clock(value: datetime) -> str:
    """The time of day on this machine."""
    return f"{value.astimezone():%H:%M}"


def count(number: int, one: str, many: str = "") -> str:
    """A number with its noun.

    >>> count(1, "child", "children"), count(0, "camp")
    ('1 child', 'no camps')
    """
    noun = one if number == 1 else many or one + "s"
    return f"{number or 'no'} {noun}"


def percent(share: float) -> str:
    """A share as a whole per cent.

    >>> percent(0.4385)
    '44 %'
    """
    return f"{round(share * 100)} %"


def cm(metres: float) -> str:
    """A height in centimetres.

    >>> cm(1.43)
    '143 cm'
    """
    return f"{cm_from_metres(metres):g} cm"


def years(age: float | None) -> str:
    """An age, to a tenth of a year.

    >>> years(11.25)
    '11.2'
    """
    return "" if age is None else f"{age:.1f}"


def plain(key: str) -> str:
    """A key of a file as words.

    >>> plain("soft_flat_mat")
    'soft flat mat'
    """
    return key.replace("_", " ")


def listed(names: list[str] | tuple[str, ...]) -> str:
    """Names as they are said: a, b and c.

    >>> listed(["a", "b", "c"])
    'a, b and c'
    """
    *first, last = list(names) or [""]
    return f"{', '.join(first)} and {last}" if first else last


def capital(text: str) -> str:
    """The text with a capital first letter; the rest stays as it is.

    >>> capital("double pike")
    'Double pike'
    """
    return text[:1].upper() + text[1:]


def standing_word(standing: Standing) -> str:
    """The shortest word that still says where she stood: which help, how a try went.

    >>> from uuid import UUID
    >>> standing_word(Standing(UUID(int=0), UUID(int=0), "double_tuck", State.TRIED, why_not_alone="short"))
    'tried, short'
    """
    if standing.state is State.HELPED and standing.help is not None:
        # Nobody in and yet not the standard: it was from or onto something else.
        return standing.why_not_alone if standing.help is Help.NOBODY_IN else standing.help.brief
    if standing.state is State.TRIED and standing.why_not_alone:
        return f"tried, {standing.why_not_alone}"
    return standing.words


def kind(value: object) -> str:
    """What a block of a sheet is, for the template that sets it.

    >>> kind(date(2026, 4, 5))
    'date'
    """
    return type(value).__name__


FILTERS: dict[str, Callable[..., Any]] = {
    word.__name__: word
    for word in (
        day,
        short_day,
        clock,
        count,
        percent,
        cm,
        years,
        plain,
        listed,
        capital,
        standing_word,
        kind,
    )
} | {"days": lambda camp: days(camp.starts, camp.ends)}
