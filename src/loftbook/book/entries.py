"""What a thumb or a keyboard sends in, and whether it can stand as a fact.

`check_entry` is the only way from an `Entry` (words, as typed) to an `Attempt`
(a fact). It refuses with a sentence and loses nothing: the entry is returned with
the refusal.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass, field, fields
from datetime import datetime, timedelta
from enum import Enum
from types import MappingProxyType
from typing import Any, TypeVar
from uuid import UUID

from loftbook.book.attempts import Attempt
from loftbook.book.people import Athlete, Camp
from loftbook.errors import UnknownThing
from loftbook.ladder.rungs import Ladder
from loftbook.ladder.scales import Help, Landing, Outcome, Rotation, TakeOff

LONGEST_NOTE = 2000
MOST_TURNS = 999  # of one child on one rung at one camp
LONGEST_NAME = 120
_E = TypeVar("_E", bound=Enum)
# Worked out once: a round of forty devices asks for them some thousand times.
_SCALES: Mapping[str, tuple[str, ...]] = MappingProxyType(
    {
        "outcome": tuple(o.value for o in Outcome),
        "help": tuple(h.key for h in Help),
        "take-off": tuple(t.value for t in TakeOff),
        "landing": tuple(m.value for m in Landing),
        "rotation": tuple(r.value for r in Rotation),
    }
)
_CANNOT_BE_WRITTEN = re.compile("[\x00\ud800-\udfff]")


@dataclass(frozen=True)
class Entry:
    """One result as it was typed: keys of the scales as words, empty where nothing was said."""

    id: UUID
    camp: UUID
    athlete: UUID
    rung: str
    outcome: str
    at: datetime
    rater: str
    help: str = ""
    take_off: str = ""
    landing: str = ""
    rotation: str = ""
    marks: Mapping[str, int] = field(default_factory=dict)
    note: str = ""
    device: str = ""
    replaces: UUID | None = None
    source: str = "entry"
    turn: int | None = None
    second: bool = False


def entry_of(said: object, **more: Any) -> Entry:
    """An entry of whatever has its fields, such as an attempt to be written anew; `more` says some otherwise.

    Values of the scales become their keys, and what was not said becomes empty. Raises
    TypeError where a field that an entry needs is neither there nor in `more`.
    """
    names = {one.name: one for one in fields(Entry)}
    texts = {name for name, one in names.items() if one.default == ""}
    given: dict[str, Any] = {}
    for name in names.keys() - more.keys():
        if hasattr(said, name):
            value = _typed(getattr(said, name))
            given[name] = "" if value is None and name in texts else value
    return Entry(**given, **more)


def _typed(value: Any) -> Any:
    if isinstance(value, Help):
        return value.key
    return value.value if isinstance(value, Enum) else value


@dataclass(frozen=True)
class Refusal:
    """An entry that cannot stand, with the reason in a sentence; the entry is kept."""

    entry: Entry
    why: str


def check_entry(
    entry: Entry, ladder: Ladder, *, camp: Camp, athlete: Athlete, now: datetime
) -> Attempt | Refusal:
    """The attempt that this entry states, or why it cannot stand.

    What the entry leaves empty of surfaces is taken from the camp's station (its bed
    and mat), for a turn that was taken. Help is never assumed. `now` (UTC) bounds the
    time: an entry from the future is refused, a wrong old clock is kept as it is.
    """
    why = _first_fault(entry, ladder, athlete=athlete, camp=camp, now=now)
    if why:
        return Refusal(entry, why)
    outcome = Outcome(entry.outcome)
    taken = not outcome.is_blank
    return Attempt(
        id=entry.id,
        camp=entry.camp,
        athlete=entry.athlete,
        rung=entry.rung,
        outcome=outcome,
        at=entry.at,
        rater=entry.rater.strip(),
        edition=camp.edition,
        help=Help.from_key(entry.help) if entry.help and taken else None,
        take_off=TakeOff(entry.take_off or camp.take_off) if taken else None,
        landing=Landing(entry.landing or camp.landing) if taken else None,
        rotation=Rotation(entry.rotation) if entry.rotation and taken else None,
        marks=dict(entry.marks) if taken else {},
        note=entry.note.strip(),
        device=entry.device,
        source=entry.source,
        replaces=entry.replaces,
        turn=entry.turn,
        second=entry.second,
    )


def _first_fault(entry: Entry, ladder: Ladder, *, athlete: Athlete, camp: Camp, now: datetime) -> str:
    if entry.camp != camp.id or entry.athlete != athlete.id:
        return (
            "This entry names another camp or another child than the page it came from. "
            "Reload the page and enter it again."
        )
    return (
        _rung_fault(entry, ladder)
        or _scale_fault("outcome", entry.outcome, needed=True)
        or _scale_fault("help", entry.help)
        or _scale_fault("take-off", entry.take_off)
        or _scale_fault("landing", entry.landing)
        or _scale_fault("rotation", entry.rotation)
        or _help_fault(entry)
        or _marks_fault(entry, ladder)
        or _time_fault(entry, athlete, now)
        or _text_fault(entry)
        or _turn_fault(entry)
    )


def _rung_fault(entry: Entry, ladder: Ladder) -> str:
    try:
        ladder.rung(entry.rung)
    except UnknownThing as error:
        return error.sentence()
    return ""


def _scale_fault(what: str, given: str, *, needed: bool = False) -> str:
    known = _SCALES[what]
    if given in known or (not given and not needed):
        return ""
    found = f"the {what} {given!r}" if given else f"no {what}"
    return f"Found {found}; expected one of {', '.join(known)}. Choose one and enter it again."


def _help_fault(entry: Entry) -> str:
    if entry.outcome == Outcome.DID_IT.value and not entry.help:
        return (
            "Found “did it” without the help she had; expected one step of the help scale. "
            "Choose it, from full belt to nobody in."
        )
    return ""


def _marks_fault(entry: Entry, ladder: Ladder) -> str:
    known = {criterion.key for criterion in ladder.criteria} if entry.marks else set()
    for key, mark in entry.marks.items():
        if key not in known:
            return (
                f"Found a mark for {key!r}; expected one of {', '.join(sorted(known))}. "
                "Use the ladder's own criteria."
            )
        if type(mark) is not int or mark not in (1, 2, 3):
            return f"Found the mark {mark!r} for {key}; expected 1, 2 or 3. Choose one of the three levels."
    return ""


def _time_fault(entry: Entry, athlete: Athlete, now: datetime) -> str:
    if entry.at.tzinfo is None:
        return f"Found the time {entry.at.isoformat()} without a time zone; expected one. Send times in UTC."
    if entry.at > now + timedelta(days=1):
        return (
            f"Found a result of {entry.at.date()}, which lies in the future; today is {now.date()}. "
            "Check the clock of the device."
        )
    if athlete.born is not None and entry.at.year > 1990 and entry.at.date() < athlete.born:
        return (
            f"Found a result of {entry.at.date()} for a child born on {athlete.born}. "
            "Check the date of birth or the day."
        )
    return ""


def _text_fault(entry: Entry) -> str:
    if not entry.rater.strip():
        return "Found no name of who saw it; expected one. Write who marks, once, at the top of the page."
    if len(entry.rater) > LONGEST_NAME:
        return (
            f"Found a name of {len(entry.rater)} characters for who saw it; expected at most {LONGEST_NAME}. "
            "Shorten it."
        )
    if len(entry.note) > LONGEST_NOTE:
        return f"Found a note of {len(entry.note)} characters; expected at most {LONGEST_NOTE}. Shorten it."
    if _CANNOT_BE_WRITTEN.search(entry.note + entry.rater + entry.device + entry.source):
        return "Found a character that cannot be written down. Type the note again."
    return ""


def _turn_fault(entry: Entry) -> str:
    if entry.turn is not None and not 1 <= entry.turn <= MOST_TURNS:
        return (
            f"Found turn {entry.turn}; expected 1 to {MOST_TURNS}. Count her turns on this rung at this camp."
        )
    if entry.second and entry.turn is None:
        return (
            "Found a second rater's mark without the number of the turn; expected one, from 1. "
            "Count her turns on this rung."
        )
    return ""
