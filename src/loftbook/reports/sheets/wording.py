"""Words that more than one sheet says: rungs, surfaces, places, editions."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable
from uuid import UUID

from loftbook.book.people import Athlete, Camp
from loftbook.insight.standing import Standing
from loftbook.ladder.rungs import Ladder
from loftbook.ladder.scales import Landing, TakeOff
from loftbook.reports.dates import day


def rung_name(ladder: Ladder, key: str, *, short: bool = False) -> str:
    """A rung's name; a rung that this edition no longer has keeps its key as a name."""
    for rung in ladder.rungs:
        if rung.key == key:
            return rung.short if short else rung.name
    return key.replace("_", " ")


def surfaces(standing: Standing) -> str:
    """From what onto what, as far as it was written down."""
    start = standing.take_off.words if standing.take_off else "take-off not written down"
    end = standing.landing.words if standing.landing else "landing not written down"
    return f"{start}, {end}"


def place_words(camp: Camp) -> str:
    """Where a camp was and on what, to follow its name: (Saltmarsh hall, bed A, trampoline to soft flat mat).

    Surfaces that nobody wrote down are said to be assumed.
    """
    known = [(one.value, one.words) for one in (*TakeOff, *Landing)]
    start = next((words for value, words in known if value == camp.take_off), camp.take_off)
    end = next((words for value, words in reversed(known) if value == camp.landing), camp.landing)
    assumed = ": assumed, not written down" if camp.surfaces_assumed else ""
    onto = f"{start} to {end}{assumed}" if start and end else ""
    told = ", ".join(part for part in (camp.place, camp.bed, onto) if part)
    return f" ({told})" if told else ""


def edition_words(ladder: Ladder) -> str:
    """By which ladder, edition and date it was marked."""
    return f"Ladder {ladder.name}, edition {ladder.edition} of {day(ladder.dated)}"


def sentence(words: str) -> str:
    """Words as the beginning of a sentence.

    >>> sentence("belt, light")
    'Belt, light'
    """
    return words[:1].upper() + words[1:]


def names_of(athletes: Iterable[Athlete]) -> dict[UUID, str]:
    """What each is called on a list; two of one name are told apart by their clubs, else by a number.

    >>> names_of([])
    {}
    """
    people = tuple(athletes)
    count = Counter(one.name.full for one in people)
    clubs = {one.id: f"{one.name.full} ({one.club.club})" if one.club else one.name.full for one in people}
    twins = Counter(clubs.values())
    told: dict[UUID, str] = {}
    for place, one in enumerate(people, 1):
        name = one.name.full if count[one.name.full] == 1 else clubs[one.id]
        told[one.id] = (
            name if twins[clubs[one.id]] == 1 or count[one.name.full] == 1 else f"{name} no. {place}"
        )
    return told
