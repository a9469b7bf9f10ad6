"""The marks of a sheet that is filled by hand, and what is typed from it.

The same codes as in typed lists (`book.typed.marks`), so that a coach learns one set.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime, timedelta
from uuid import UUID

from loftbook.book.entries import Entry
from loftbook.book.identity import same_fact
from loftbook.book.typed.marks import MEANINGS, Meaning, read_mark

#: What is printed on the sheet: the mark, and the key of its meaning. Short ones first, as they are used.
PAPER_CODES = (
    ("x", "alone"),
    ("s", "hand"),
    ("b", "belt"),
    ("following", "hands_following"),
    ("stand in", "standing_in"),
    ("n", "tried"),
    ("sh", "short"),
    ("over", "over"),
    ("-", "not_tried"),
    ("stop", "stopped"),
    ("dec", "declined"),
    ("inj", "not_allowed"),
    ("abs", "absent"),
)


@dataclass(frozen=True)
class TypedSheet:
    """A filled sheet as it was typed: who marked, on which day, and a mark for each place.

    `number` and `made` come from the page, so that the same page sent twice is one sheet.
    """

    number: UUID
    made: datetime
    day: date
    camp: UUID
    rater: str
    cells: Mapping[tuple[UUID, str, int], str]  # child, rung, place of the turn from 1
    notes: Mapping[UUID, str]


@dataclass(frozen=True)
class Unread:
    """A place of the sheet that cannot be read, with the reason in a sentence."""

    athlete: UUID
    rung: str
    place: int
    typed: str
    why: str


def code_words() -> tuple[tuple[str, str], ...]:
    """Each printed code with what it means in words.

    >>> dict(code_words())["sh"]
    'tried, not yet, short'
    """
    return tuple((code, MEANINGS[key].words) for code, key in PAPER_CODES)


def entries_of(sheet: TypedSheet) -> tuple[tuple[Entry, ...], tuple[Unread, ...]]:
    """The results that a typed sheet states, in its order, and the places that cannot be read."""
    entries: list[Entry] = []
    unread: list[Unread] = []
    noted: set[UUID] = set()
    start = sheet.made.replace(year=sheet.day.year, month=sheet.day.month, day=sheet.day.day)
    for (athlete, rung, place), typed in sheet.cells.items():
        if not typed.strip():
            continue
        meanings = read_mark(typed[:40])
        if not meanings:
            unread.append(Unread(athlete, rung, place, typed, _why(typed)))
            continue
        for turn, meaning in enumerate(meanings):
            note = sheet.notes.get(athlete, "") if athlete not in noted else ""
            noted.add(athlete)
            at = start + timedelta(microseconds=len(entries))
            where = (str(sheet.number), str(athlete), rung, str(place), str(turn), typed)
            blank = Entry(
                same_fact("sheet", *where), sheet.camp, athlete, rung, "", at, sheet.rater, source="sheet"
            )
            entries.append(_marked(blank, meaning, note))
    return tuple(entries), tuple(unread)


def _marked(blank: Entry, meaning: Meaning, note: str) -> Entry:
    return replace(
        blank,
        outcome=meaning.outcome.value,
        help=meaning.help.key if meaning.help else "",
        rotation=meaning.rotation.value if meaning.rotation else "",
        note=note,
    )


def _why(typed: str) -> str:
    known: Sequence[str] = [code for code, _ in PAPER_CODES]
    return f"Found {typed[:40]!r}; expected one of {', '.join(known)}. Type one of these."
