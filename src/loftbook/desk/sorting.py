"""What becomes of each record that was sent: stored, duplicate, conflict or refused.

Decides and writes nothing; `loftbook.desk.sync` writes what was decided.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from typing import Any
from uuid import UUID

from loftbook.book.attempts import Attempt, Withdrawal
from loftbook.book.clocks import Skew, seen_at
from loftbook.book.devices import Device
from loftbook.book.entries import Entry, Refusal, check_entry
from loftbook.book.people import Athlete, Camp
from loftbook.book.records import LARGEST, Record, TakenBack, Unreadable, digest_of_record, read_record
from loftbook.desk import Desk
from loftbook.store import attempts, camps, erasing, people, received
from loftbook.store.database import Connection
from loftbook.store.received import Received

MOST_RECORDS = 500  # in one batch


@dataclass(frozen=True)
class Batch:
    """Some records from one device or one file."""

    records: Sequence[object]
    device: Device | None = None
    sent_at: datetime | None = None  # by the device's clock; None: not known
    way: str = "network"


@dataclass(frozen=True)
class Answer:
    """What became of one record; `again` says that it may stand later, when what it needs is there."""

    id: str | None
    status: str
    why: str = ""
    again: bool = False
    at: datetime | None = None


@dataclass(frozen=True)
class Row:
    """One record, read, with where it came from."""

    sent: object
    said: Record
    digest: str
    batch: Batch
    skew: Skew
    shown_id: str | None

    @property
    def athlete(self) -> UUID | None:
        """Of whom it is, as it says, even where the rest of it cannot be read."""
        if isinstance(self.said, Entry):
            return self.said.athlete
        try:
            return UUID(str(self.sent["athlete"])) if isinstance(self.sent, Mapping) else None
        except (KeyError, ValueError):
            return None

    @property
    def needs(self) -> UUID | None:
        """The attempt that must be in the book first."""
        if isinstance(self.said, TakenBack):
            return self.said.attempt
        return None if isinstance(self.said, Unreadable) else self.said.replaces


def row_of(place: int, sent: object, batch: Batch, skew: Skew) -> Row:
    """One record of a batch, read; `place` is its number in the batch, from 0."""
    said: Record
    if place >= MOST_RECORDS:
        said = Unreadable(
            None, f"Found more than {MOST_RECORDS} records in one batch. Send the rest in another."
        )
    elif len(repr(sent)) > LARGEST:
        said = Unreadable(None, f"Found a record of more than {LARGEST} letters. Shorten its note.")
    else:
        said = read_record(sent)
    shown = sent.get("id") if isinstance(sent, Mapping) else None
    return Row(
        sent, said, digest_of_record(sent), batch, skew, str(shown)[:60] if shown is not None else None
    )


class Sorting:
    """Decides about each record, what it needs before itself; writes nothing."""

    def __init__(self, desk: Desk, connection: Connection, now: datetime, rows: Sequence[Row]) -> None:
        self.desk, self.now, self.rows = desk, now, rows
        ids = {row.said.id for row in rows if row.said.id is not None}
        needs = {row.needs for row in rows if row.needs is not None}
        self.digests = received.digests(connection, ids)
        self.there = attempts.attempts_by_id(connection, ids | needs)  # and, later, what is stored now
        self.taken_back = attempts.withdrawal_ids(connection, ids)
        said = [row.said for row in rows if isinstance(row.said, Entry)]
        self.camps = {camp.id: camp for camp in camps.camps(connection, {e.camp for e in said})}
        self.people = {a.id: a for a in people.athletes(connection, {e.athlete for e in said})}
        strangers = {row.athlete for row in rows if row.athlete} - self.people.keys()
        self.erased = erasing.erased_among(connection, strangers)
        self.attempts: list[Attempt] = []
        self.withdrawals: list[Withdrawal] = []
        self.received: list[Received] = []
        self.aside: list[dict[str, Any]] = []
        self.answers: dict[int, Answer] = {}

    def run(self) -> None:
        """Every record, each after the one that it corrects or takes back."""
        coming = {row.said.id for row in self.rows if not isinstance(row.said, Unreadable)}
        waiting: dict[UUID, list[int]] = {}
        for index, row in enumerate(self.rows):
            if row.needs is not None and row.needs not in self.there and row.needs in coming:
                waiting.setdefault(row.needs, []).append(index)
                continue
            todo = [index]
            while todo:
                now = todo.pop(0)
                self._decide(now)
                said = self.rows[now].said
                if said.id is not None and said.id in self.there:
                    todo += waiting.pop(said.id, [])
        for index in sorted(index for some in waiting.values() for index in some):
            self._decide(index)  # what it needs was refused, or two records need each other

    def _decide(self, index: int) -> None:
        row = self.rows[index]
        answer = self._answer(row)
        self.answers[index] = answer
        if row.athlete in self.erased:
            return  # of a child who was erased nothing is kept, not even aside
        if answer.status == "conflict" or (
            answer.status == "refused" and (not answer.again or row.batch.way != "network")
        ):
            self.aside.append(_aside(row, answer, self.now))

    def _answer(self, row: Row) -> Answer:
        said = row.said
        if row.athlete in self.erased:
            return Answer(row.shown_id, "refused", _ERASED)
        if isinstance(said, Unreadable):
            return Answer(row.shown_id, "refused", said.why)
        known = self.digests.get(said.id)
        if known is not None or said.id in self.there or said.id in self.taken_back:
            if known == row.digest:
                return Answer(row.shown_id, "duplicate")
            return Answer(row.shown_id, "conflict", _OTHER)
        fact = self._taken_back(row, said) if isinstance(said, TakenBack) else self._attempt(row, said)
        if isinstance(fact, Answer):
            return fact
        self.digests[said.id] = row.digest
        return Answer(row.shown_id, "stored", at=fact.at)

    def _attempt(self, row: Row, said: Entry) -> Attempt | Answer:
        camp, athlete = self.camps.get(said.camp), self.people.get(said.athlete)
        why = _unknown(camp, athlete) or self._wrong_target(said)
        if why:
            again = said.replaces is not None and said.replaces not in self.there and camp is not None
            return Answer(row.shown_id, "refused", why, again)
        assert camp is not None
        assert athlete is not None
        at, clock = seen_at(said.at, row.skew, received=self.now, first_day=camp.starts)
        name = row.batch.device.name if row.batch.device else ""
        source = "entry" if row.batch.way == "network" else row.batch.way
        entry = replace(said, at=at, device=name, source=source)
        made = check_entry(entry, self.desk.ladder, camp=camp, athlete=athlete, now=self.now)
        if isinstance(made, Refusal):
            return Answer(row.shown_id, "refused", made.why)
        self.there[made.id] = made
        self.attempts.append(made)
        self._note(row, "attempt", said.at, clock)
        return made

    def _wrong_target(self, said: Entry) -> str:
        if said.replaces is None:
            return ""
        target = self.there.get(said.replaces)
        if target is None:
            return _FIRST.format(what="corrects")
        if target.camp != said.camp:
            return (
                "Found a correction of a result of another camp; expected one of this camp. "
                "Take that one back at its own camp, and write this as a new result."
            )
        return ""

    def _taken_back(self, row: Row, said: TakenBack) -> Withdrawal | Answer:
        target = self.there.get(said.attempt)
        if target is None:
            return Answer(row.shown_id, "refused", _FIRST.format(what="takes back"), again=True)
        at, clock = seen_at(said.at, row.skew, received=self.now, first_day=target.at.date())
        fact = Withdrawal(said.id, said.attempt, said.by.strip(), at, said.reason.strip())
        self.withdrawals.append(fact)
        self._note(row, "withdrawal", said.at, clock)
        return fact

    def _note(self, row: Row, kind: str, said_at: datetime, clock: str) -> None:
        assert row.said.id is not None
        device = row.batch.device.id if row.batch.device else None
        self.received.append(
            Received(row.said.id, kind, row.digest, device, said_at, self.now, clock, row.batch.way)
        )


_ERASED = "Found a result of a child who was erased from this book. It is not kept here; take it off this device too."
_OTHER = (
    "This number is in the book already with something else in it. Nothing was overwritten; this version is kept "
    "for the head coach."
)
_FIRST = (
    "Found no result that this one {what}; expected it in the book. Send that one first, then this one again."
)


def _unknown(camp: Camp | None, athlete: Athlete | None) -> str:
    if camp is None:
        return "Found no such camp in this book. Ask the head coach; this result is kept for her."
    if athlete is None:
        return "Found nobody of that number in this book. Ask the head coach; this result is kept for her."
    return ""


def _aside(row: Row, answer: Answer, now: datetime) -> dict[str, Any]:
    said = row.said
    named = said if isinstance(said, Entry) else None
    return {
        "digest": row.digest,
        "id": said.id,
        "athlete": named.athlete if named else None,
        "camp": named.camp if named else None,
        "verdict": answer.status,
        "why": answer.why,
        "record": _keepable(row.sent if isinstance(row.sent, Mapping) else {"sent": row.sent}),
        "device": row.batch.device.id if row.batch.device else None,
        "at": now,
        "way": row.batch.way,
    }


def _keepable(sent: object) -> object:
    """What was sent, as a document that the book can hold, whatever stands in it."""
    if isinstance(sent, Mapping):
        return {_text(key): _keepable(value) for key, value in list(sent.items())[:60]}
    if isinstance(sent, (list, tuple)):
        return [_keepable(value) for value in list(sent)[:60]]
    if isinstance(sent, (bool, type(None))):
        return sent
    if isinstance(sent, int) and abs(sent) < 2**53:
        return sent
    return _text(sent)


def _text(value: object) -> str:
    return str(value)[:LARGEST].encode("utf-8", "replace").decode().replace("\x00", "")
