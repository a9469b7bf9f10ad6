"""A record as a device sends it: read on its own, so that one bad record loses no other.

The same record may come over the network, again after a lost reply, and once more in
a file of waiting results. `digest_of_record` tells a repeat from another content.
"""

from __future__ import annotations

import hashlib
import json
import re
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import UTC, datetime
from functools import lru_cache
from typing import Any, TypeAlias
from uuid import UUID

from loftbook.book.entries import LONGEST_NOTE, MOST_TURNS, Entry

LONGEST_NAME, MOST_MARKS = 200, 30
#: One record holds a note of 2000 letters at most; what is larger was made by nobody's thumb.
LARGEST = 20_000
_ATTEMPT = frozenset(
    "kind id camp athlete rung outcome at rater help take_off landing rotation marks note turn second replaces".split()
)
_WITHDRAWAL = frozenset(["kind", "id", "attempt", "at", "by", "reason"])
_NOTHING: tuple[object, ...] = (None, "", {}, [], False)
_CANNOT_BE_WRITTEN = re.compile("[\x00\ud800-\udfff]")
_id_of = lru_cache(maxsize=4096)(UUID)  # a batch names the same camp and children again and again
_FINGERPRINT = json.JSONEncoder(sort_keys=True, default=str)


@dataclass(frozen=True)
class TakenBack:
    """A record that takes an attempt back."""

    id: UUID
    attempt: UUID
    at: datetime
    by: str
    reason: str = ""


@dataclass(frozen=True)
class Unreadable:
    """A record that cannot be read, with the reason in a sentence; its id if it has one."""

    id: UUID | None
    why: str


Record: TypeAlias = Entry | TakenBack | Unreadable


def read_record(sent: object) -> Record:
    """What one record says, or why it cannot be read.

    >>> read_record({"kind": "dance"}).why
    "Found a record of the kind 'dance'; expected attempt or withdrawal. Bring the entry screen up to date."
    """
    if not isinstance(sent, Mapping):
        return Unreadable(None, f"Found a {type(sent).__name__}; expected a record with named fields.")
    try:
        known = UUID(sent["id"]) if isinstance(sent.get("id"), str) else None
    except ValueError:
        known = None
    kind = sent.get("kind")
    if kind not in ("attempt", "withdrawal"):
        shown = shortened(kind)
        return Unreadable(
            known,
            f"Found a record of the kind {shown}; expected attempt or withdrawal. Bring the entry screen up to date.",
        )
    fields = _Fields(sent)
    fields.known(_ATTEMPT if kind == "attempt" else _WITHDRAWAL)
    made = _attempt(fields) if kind == "attempt" else _withdrawal(fields)
    return Unreadable(known, fields.faults[0]) if fields.faults else made


def digest_of_record(sent: object) -> str:
    """A fingerprint of all that a record says; what it leaves empty does not change it.

    >>> digest_of_record({"id": "a", "note": ""}) == digest_of_record({"id": "a"})
    True
    """
    if isinstance(sent, Mapping):
        sent = {
            str(key): value
            for key, value in sent.items()
            if value or not any(value is n or value == n for n in _NOTHING)
        }
    return hashlib.sha256(_FINGERPRINT.encode(sent).encode()).hexdigest()[:32]


def shortened(value: object, most: int = 60) -> str:
    """A value as it was sent, cut where it is long."""
    text = value if isinstance(value, str) else str(value)[:200]
    plain = "".join(c if c.isprintable() else " " for c in text[: most + 1])
    return repr(plain if len(plain) <= most else plain[:most] + "…")


class _Fields:
    """The fields of one record; the first thing that is wrong with them is told."""

    def __init__(self, sent: Mapping[str, Any]) -> None:
        self.sent = sent
        self.faults: list[str] = []

    def fault(self, name: str, expected: str) -> None:
        self.faults.append(
            f"Found {shortened(self.sent.get(name))} as {name}; expected {expected}. Enter it again."
        )

    def known(self, names: frozenset[str]) -> None:
        strange = [key for key in self.sent if key not in names]
        if strange:
            self.faults.append(
                f"Found the field {shortened(strange[0])}, which this Loftbook does not know. "
                "Update Loftbook, then send it again."
            )

    def uid(self, name: str) -> UUID:
        found = self.uid_or_none(name)
        if found is None and self.sent.get(name) in _NOTHING:
            self.fault(name, "an id")
        return found or UUID(int=0)

    def uid_or_none(self, name: str) -> UUID | None:
        value = self.sent.get(name)
        if value is None or value == "":
            return None
        try:
            return _id_of(value if isinstance(value, str) else "")
        except ValueError:
            self.fault(name, "an id as text")
            return None

    def text(self, name: str, most: int = LONGEST_NAME) -> str:
        value = self.sent.get(name)
        if value is None:
            return ""
        if not isinstance(value, str):
            self.fault(name, "text")
            return ""
        if len(value) > most:
            self.fault(name, f"at most {most} letters")
        elif _CANNOT_BE_WRITTEN.search(value):
            self.fault(name, "text that can be written down")
        return value

    def moment(self, name: str) -> datetime:
        moment = moment_of(self.sent.get(name))
        if moment is None:
            self.fault(name, "a time with its zone, such as 2026-04-11T09:30:00Z")
        return moment or datetime.min.replace(tzinfo=UTC)

    def turn(self) -> int | None:
        value = self.sent.get("turn")
        if value is None:
            return None
        if isinstance(value, int) and not isinstance(value, bool) and 1 <= value <= MOST_TURNS:
            return value
        self.fault("turn", f"a whole number from 1 to {MOST_TURNS}")
        return None

    def flag(self, name: str) -> bool:
        value = self.sent.get(name)
        if value is not None and not isinstance(value, bool):
            self.fault(name, "true or false")
        return value is True

    def marks(self) -> dict[str, int]:
        value = self.sent.get("marks")
        if value is None:
            return {}
        good = isinstance(value, Mapping) and len(value) <= MOST_MARKS
        if good and all(isinstance(k, str) and type(v) is int and v in (1, 2, 3) for k, v in value.items()):
            return dict(value)
        self.fault("marks", "criteria with 1, 2 or 3 each")
        return {}


def moment_of(value: object) -> datetime | None:
    """A time with its zone from text, in UTC; None for anything else.

    >>> moment_of("2026-04-11T09:30:00+02:00").isoformat()
    '2026-04-11T07:30:00+00:00'
    >>> moment_of("2026-04-11T09:30:00") is None
    True
    """
    if not isinstance(value, str) or len(value) > 40:
        return None
    try:
        found = datetime.fromisoformat(value)
        return None if found.tzinfo is None else found.astimezone(UTC)
    except (ValueError, OverflowError):
        return None


def _attempt(fields: _Fields) -> Entry:
    return Entry(
        id=fields.uid("id"),
        camp=fields.uid("camp"),
        athlete=fields.uid("athlete"),
        rung=fields.text("rung"),
        outcome=fields.text("outcome"),
        at=fields.moment("at"),
        rater=fields.text("rater"),
        help=fields.text("help"),
        take_off=fields.text("take_off"),
        landing=fields.text("landing"),
        rotation=fields.text("rotation"),
        marks=fields.marks(),
        note=fields.text("note", LONGEST_NOTE),
        replaces=fields.uid_or_none("replaces"),
        turn=fields.turn(),
        second=fields.flag("second"),
    )


def _withdrawal(fields: _Fields) -> TakenBack:
    taken = TakenBack(
        id=fields.uid("id"),
        attempt=fields.uid("attempt"),
        at=fields.moment("at"),
        by=fields.text("by"),
        reason=fields.text("reason", LONGEST_NOTE),
    )
    if not taken.by.strip():
        fields.fault("by", "the name of who takes it back")
    return taken
