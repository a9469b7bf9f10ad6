"""Where two books said different things of a child, the head coach takes the other book's word."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date
from typing import Any

from loftbook.book.people import ClubStay, Height, Name, TwistNote
from loftbook.errors import Refused
from loftbook.ladder.scales import TwistSide
from loftbook.store import camps, people
from loftbook.store.database import Connection
from loftbook.store.received import SetAside

#: What can be taken over with one touch; the rest is put right where it is described.
TAKEN_OVER = ("birth date", "name", "club", "height", "twist side", "number")


def take_over(connection: Connection, row: SetAside) -> None:
    """Writes the other book's word down as the later one, so that it stands; what stood is kept.

    Raises Refused for what can only be put right by hand.
    """
    record: Mapping[str, Any] = row.record
    kind, who, value = record.get("kind"), row.athlete, record.get("value")
    if kind not in TAKEN_OVER or who is None:
        raise Refused(f"a {kind}, which is put right where it is described", "another way", "choose “stands”")
    if kind == "number":
        assert row.camp is not None
        camps.expect(connection, row.camp, {who: str(value)})
    else:
        people.add_facts(connection, {who: [_fact(kind, value)]})


def _fact(kind: str, value: Any) -> people.Fact:
    if kind == "birth date":
        return people.Born(date.fromisoformat(value))
    day = value.get("since") or value.get("on")
    since = date.fromisoformat(day) if day else None
    if kind == "name":
        return Name(value["given"], value["family"], since)
    if kind == "club":
        return ClubStay(value["club"], value["coach_name"], value["coach_email"], since)
    if kind == "height":
        return Height(value["metres"], since)
    return TwistNote(TwistSide(value["side"]), value["rung"], since)
