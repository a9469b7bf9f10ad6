"""Where two people wrote different things about the same turn: shown, and settled by a new fact."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from datetime import datetime
from typing import Any
from uuid import UUID

from loftbook.book.attempts import Attempt, Withdrawal
from loftbook.book.entries import Entry, entry_of
from loftbook.book.records import read_record
from loftbook.book.turns import Marking, markings, root_of
from loftbook.desk import Desk
from loftbook.desk.entry import new_id, withdraw, write_entry
from loftbook.desk.merging.settling import TAKEN_OVER, take_over
from loftbook.desk.sent_words import sent_in_words
from loftbook.desk.sync import Batch, take_in
from loftbook.errors import Refused, UnknownThing
from loftbook.store import attempts, camps, people, received
from loftbook.store.received import SetAside

SETTLED = "settled"  # the source of an attempt that the head coach wrote to settle a clash
_AGAIN = "reload the page"


@dataclass(frozen=True)
class Disagreement:
    """Two or more versions of one turn. `kind` is "two_corrections" or "corrected_and_taken_back"."""

    kind: str
    original: Attempt
    versions: tuple[Attempt, ...]  # in force
    taken_back: Withdrawal | None = None


@dataclass(frozen=True)
class Kept:
    """A record that was set aside, with the attempt that stands under its number, if there is one."""

    row: SetAside
    stands: Attempt | None
    said: tuple[tuple[str, str], ...] = ()  # what was sent, in words

    @property
    def of_books(self) -> bool:
        """True where two books say different things of something that is no turn."""
        return isinstance(self.row.record, Mapping) and "there" in self.row.record

    @property
    def ways(self) -> tuple[str, ...]:
        """What can become of it: ways of `settle_aside`."""
        if self.of_books:
            return ("leave", "instead") if self.row.record.get("kind") in TAKEN_OVER else ("leave",)
        if self.row.verdict == "conflict":
            return ("leave", "instead", "beside") if self.stands else ("leave", "beside")
        return ("try", "leave")


@dataclass(frozen=True)
class Open:
    """All that waits for the head coach at one camp, with the names of the children in it."""

    disagreements: tuple[Disagreement, ...]
    aside: tuple[Kept, ...]
    names: dict[UUID, str]

    @property
    def number(self) -> int:
        """How many wait."""
        return len(self.disagreements) + len(self.aside)


def open_clashes(desk: Desk, camp_id: UUID) -> Open:
    """What two people wrote differently at a camp, and what was set aside."""
    with desk.store.read() as connection:
        camps.camp(connection, camp_id)
        every = attempts.attempts_of_camp(connection, camp_id, all=True)
        inside = attempts.attempts_of_camp(connection, camp_id)
        back = attempts.withdrawals_of(connection, [a.id for a in every])
        roots = attempts.roots_of(connection, every)
        rows = received.aside(connection, camp_id)
        stand = attempts.attempts_by_id(connection, [row.id for row in rows if row.id is not None])
        meant = {a.athlete for a in every} | {who for row in rows if (who := _meant(row.record)) is not None}
        names = {a.id: a.name.full for a in people.athletes(connection, meant)}
    known = {a.id: a for a in every}
    found = (*_two_corrections(inside, known, roots), *_taken_back(inside, known, back))
    aside = tuple(
        Kept(row, stand.get(row.id) if row.id else None, sent_in_words(row.record, desk.ladder, names))
        for row in rows
    )
    return Open(found, aside, names)


def _meant(sent: Any) -> UUID | None:
    said = read_record(sent)
    return said.athlete if isinstance(said, Entry) else None


def _two_corrections(
    inside: Iterable[Attempt], known: dict[UUID, Attempt], roots: dict[UUID, UUID]
) -> tuple[Disagreement, ...]:
    groups: dict[UUID, list[Attempt]] = {}
    for attempt in inside:
        groups.setdefault(root_of(attempt, roots), []).append(attempt)
    return tuple(
        Disagreement("two_corrections", known[root], tuple(group))
        for root, group in groups.items()
        if len(group) > 1 and root in known
    )


def _taken_back(
    inside: Iterable[Attempt], known: dict[UUID, Attempt], back: Iterable[Withdrawal]
) -> tuple[Disagreement, ...]:
    gone = {w.attempt: w for w in back}
    return tuple(
        Disagreement("corrected_and_taken_back", known[a.replaces], (a,), gone[a.replaces])
        for a in inside
        if a.replaces in gone and a.replaces in known and a.source != SETTLED
    )


def settle(desk: Desk, original: UUID, *, keep: UUID | None, by: str, camp: UUID) -> tuple[UUID, ...]:
    """The head coach says which version stands (None: none of them); returns the ids of the new facts.

    The others are withdrawn. Where a result was both corrected and taken back, keeping the
    correction writes it once more in her name. Nothing is overwritten.
    """
    one = next((d for d in open_clashes(desk, camp).disagreements if d.original.id == original), None)
    if one is None:
        raise UnknownThing("no such disagreement; somebody may have settled it", "an open one", _AGAIN)
    ids = {version.id for version in one.versions}
    if keep is not None and keep not in ids:
        raise UnknownThing("a version that is not one of these", "one of those shown", _AGAIN)
    if not by.strip():
        raise Refused("nobody's name", "who settles it", "write your name")
    made: list[UUID] = []
    with desk.store.write():
        for version in one.versions:
            if version.id != keep:
                made.append(withdraw(desk, version.id, by=by.strip(), reason="settled by the head coach").id)
            elif one.kind == "corrected_and_taken_back":
                made.append(_again(desk, version, version.id))
    return tuple(made)


def settle_aside(desk: Desk, seq: int, *, how: str, by: str, camp: UUID) -> UUID | None:
    """What becomes of a record that was set aside; returns the id of the new fact, if one was made.

    `how` is "leave" (what stands is right), "instead" (this version is right: a correction
    of what stands), "beside" (it was another turn: a result of its own), or "try" (the
    record as it is, now that what it needs may be there).
    """
    if not by.strip():
        raise Refused("nobody's name", "who settles it", "write your name")
    waiting = open_clashes(desk, camp).aside
    kept = next((k for k in waiting if k.row.seq == seq), None)
    if kept is None:
        raise UnknownThing("no such record; somebody may have dealt with it", "an open one", _AGAIN)
    made: UUID | None = None
    with desk.store.write() as connection:
        if kept.of_books and how == "instead":
            take_over(connection, kept.row)
        elif how == "try":
            made = _try(desk, kept.row)
        elif how in ("instead", "beside"):
            made = _written(desk, kept, instead=how == "instead")
        elif how != "leave":
            raise UnknownThing(f"the way {how!r}", "leave, instead, beside or try", "choose one of these")
        received.settle_aside(connection, seq, at=desk.clock(), by=by.strip(), how=how)
    return made


def _try(desk: Desk, row: SetAside) -> UUID | None:
    answer = take_in(desk, Batch([row.record], way="tried again by the head coach")).answers[0]
    if answer.status not in ("stored", "duplicate"):
        raise Refused(
            f"a record that still cannot stand ({answer.why})", "one that can", "put right what it names"
        )
    return row.id


def _written(desk: Desk, kept: Kept, *, instead: bool) -> UUID:
    said = read_record(kept.row.record)
    if not isinstance(said, Entry):
        raise Refused("a record that is no result", "a result", "choose another way, or write it by hand")
    if instead and kept.stands is None:
        raise Refused("no result that it could replace", "one", "choose “another turn”")
    replaces = kept.stands.id if instead and kept.stands else said.replaces
    entry = replace(said, id=new_id(desk), replaces=replaces, source=SETTLED, at=_when(said.at, kept.row.at))
    return _must(write_entry(desk, entry), entry)


def _when(said: datetime, came: datetime) -> datetime:
    return said if abs((came - said).days) < 7 else came


def _again(desk: Desk, version: Attempt, replaces: UUID) -> UUID:
    entry = entry_of(version, id=new_id(desk), replaces=replaces, source=SETTLED)
    return _must(write_entry(desk, entry), entry)


def _must(written: Any, entry: Entry) -> UUID:
    if written.status != "stored":
        raise Refused(written.why)
    return entry.id


def marking_pairs(desk: Desk, camp_id: UUID | None = None) -> tuple[Marking, ...]:
    """The turns that two raters marked without seeing each other's mark, at a camp or at all of them."""
    with desk.store.read() as connection:
        ids = [camp_id] if camp_id else [camp.id for camp in camps.camps(connection)]
        return tuple(pair for one in ids for pair in markings(attempts.attempts_of_camp(connection, one)))
