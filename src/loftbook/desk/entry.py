"""Write an attempt, correct it, withdraw it; and look back only once the new mark is in."""

from __future__ import annotations

import os
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from uuid import UUID

from loftbook.book.attempts import Attempt, Withdrawal
from loftbook.book.entries import Entry, Refusal, check_entry
from loftbook.book.identity import uuid7
from loftbook.book.people import Athlete, Camp
from loftbook.book.typed.words import fold
from loftbook.desk import Desk
from loftbook.desk.editions import keep_edition
from loftbook.desk.expecting import children_of
from loftbook.desk.standing import renew_standings
from loftbook.errors import Refused, UnknownThing
from loftbook.insight.stopping import stop_words
from loftbook.ladder.rungs import Criterion, Rung
from loftbook.store import attempts, camps, people
from loftbook.store.database import Connection


@dataclass(frozen=True)
class EntrySheet:
    """What the page for writing results needs; never anything of an earlier camp.

    `athletes` are those expected, then those of whom something is written besides; the
    whole book where nobody said who is expected. `found` are others whom a search found.
    """

    camp: Camp
    athletes: tuple[Athlete, ...]
    bibs: Mapping[UUID, str]
    rungs: tuple[Rung, ...]
    criteria: tuple[Criterion, ...]
    entered: Mapping[tuple[UUID, str], tuple[Attempt, ...]]
    found: tuple[Athlete, ...] = ()


@dataclass(frozen=True)
class Written:
    """What became of an entry: "stored", "duplicate", "conflict" or "refused", and why."""

    status: str
    attempt: Attempt | None
    why: str = ""


@dataclass(frozen=True)
class EarlierMarks:
    """The marks of the camp before, or why they are still hidden."""

    shown: bool
    why: str
    camp: Camp | None = None
    attempts: tuple[Attempt, ...] = ()


def new_id(desk: Desk) -> UUID:
    """A fresh number for an entry that is about to be written."""
    return uuid7(desk.clock(), seed=os.urandom(16))


def entry_sheet(desk: Desk, camp_id: UUID, *, find: str = "", also: UUID | None = None) -> EntrySheet:
    """Who is at the camp, which rungs there are, and what was written today.

    `find` looks for others in the book by a part of their names; `also` is somebody who
    came without being expected.
    """
    with desk.store.read() as connection:
        camp = camps.camp(connection, camp_id)
        bibs = camps.expected(connection, camp_id)
        written = attempts.attempts_of_camp(connection, camp_id)
        there = children_of(connection, bibs, {a.athlete for a in written} | ({also} if also else set()))
        here = {athlete.id for athlete in there}
        found = _found(people.athletes(connection), find) if find.strip() else ()
    entered: dict[tuple[UUID, str], list[Attempt]] = {}
    for attempt in written:
        entered.setdefault((attempt.athlete, attempt.rung), []).append(attempt)
    return EntrySheet(
        camp=camp,
        athletes=there,
        bibs=bibs,
        rungs=desk.ladder.test_rungs + tuple(rung for rung in desk.ladder.rungs if not rung.tested),
        criteria=desk.ladder.criteria,
        entered={key: tuple(rows) for key, rows in entered.items()},
        found=tuple(athlete for athlete in found if athlete.id not in here),
    )


def _found(athletes: Iterable[Athlete], typed: str) -> tuple[Athlete, ...]:
    """Those in whose names each typed word stands."""
    words = fold(typed).split()
    return tuple(a for a in athletes if words and all(word in fold(a.name.full) for word in words))


def stop_prompt(desk: Desk, sheet: EntrySheet, athlete_id: UUID) -> str:
    """A reminder to stop after short turns in a row at this camp; empty while there is none."""
    hers = [turn for (who, _), turns in sheet.entered.items() if who == athlete_id for turn in turns]
    return stop_words(hers, desk.ladder.policy)


def write_entry(desk: Desk, entry: Entry) -> Written:
    """Keep one result; the same entry twice is kept once, and nothing is overwritten."""
    return write_entries(desk, (entry,))[0]


def write_entries(desk: Desk, entries: Iterable[Entry]) -> tuple[Written, ...]:
    """Keep a batch of results; each is answered for itself, in the order they came."""
    batch = tuple(entries)
    now = desk.clock()
    with desk.store.write() as connection:
        known_camps = {camp.id: camp for camp in camps.camps(connection, {e.camp for e in batch})}
        known = {a.id: a for a in people.athletes(connection, {e.athlete for e in batch})}
        # A turn that was written for another child, and is now hers, changes both.
        replaced = attempts.attempts_by_id(connection, {e.replaces for e in batch if e.replaces})
        taken_back = _taken_back(connection, batch, replaced)
        checked = [
            _of_another_camp(entry, replaced)
            or _of_one_taken_back(entry, taken_back)
            or _checked(desk, entry, known_camps, known, now)
            for entry in batch
        ]
        good = [row for row in checked if isinstance(row, Attempt)]
        replaced = {a.replaces: replaced[a.replaces] for a in good if a.replaces in replaced}
        receipts = {r.id: r for r in attempts.add_attempts(connection, good)}
        if good:
            keep_edition(connection, desk)
        touched = {(a.camp, a.athlete) for a in (*good, *replaced.values())}
        renew_standings(connection, desk.ladder, touched)
    return tuple(_answer(row, receipts) for row in checked)


def _of_another_camp(entry: Entry, replaced: Mapping[UUID, Attempt]) -> Refusal | None:
    """A correction must not make a turn of another camp vanish."""
    meant = replaced.get(entry.replaces) if entry.replaces else None
    if meant is None or meant.camp == entry.camp:
        return None
    return Refusal(
        entry,
        "Found a correction of a turn that was written at another camp; expected one of this camp. "
        "Withdraw it at its own camp, and write this one as a turn of its own.",
    )


def _taken_back(
    connection: Connection, batch: Iterable[Entry], replaced: Mapping[UUID, Attempt]
) -> frozenset[UUID]:
    """The entries that would correct a turn that was withdrawn; a repeat of a stored one is none."""
    gone = {w.attempt for w in attempts.withdrawals_of(connection, set(replaced))}
    found = {e.id for e in batch if e.replaces in gone}
    return frozenset(found - set(attempts.attempts_by_id(connection, found)))


def _of_one_taken_back(entry: Entry, taken_back: frozenset[UUID]) -> Refusal | None:
    """A turn that was withdrawn must not come back to life by a correction."""
    if entry.id not in taken_back:
        return None
    return Refusal(
        entry,
        "Found a correction of a turn that was taken back meanwhile; expected one that counts. "
        "If it was a turn after all, write it down as a turn of its own.",
    )


def _checked(
    desk: Desk,
    entry: Entry,
    known_camps: Mapping[UUID, Camp],
    known: Mapping[UUID, Athlete],
    now: datetime,
) -> Attempt | Refusal:
    camp, athlete = known_camps.get(entry.camp), known.get(entry.athlete)
    if camp is None:
        return Refusal(entry, "Found no camp of that id in this book. Make the camp first.")
    if athlete is None:
        return Refusal(entry, "Found nobody of that id in this book. Add the child first.")
    return check_entry(entry, desk.ladder, camp=camp, athlete=athlete, now=now)


def _answer(row: Attempt | Refusal, receipts: Mapping[UUID, attempts.Receipt]) -> Written:
    if isinstance(row, Refusal):
        return Written("refused", None, row.why)
    receipt = receipts[row.id]
    why = f"{receipt.why[:1].upper()}{receipt.why[1:]}." if receipt.why else ""
    return Written(receipt.verdict.value, row, why)


def withdraw(
    desk: Desk, attempt_id: UUID, *, by: str, reason: str = "", place: tuple[UUID, UUID] | None = None
) -> Withdrawal:
    """Take an attempt back that was written by mistake; it stays in the book, withdrawn.

    `place` is the camp and the child whom the caller means: a turn of another is
    refused. Taking back twice changes nothing and answers with the first time.
    """
    with desk.store.write() as connection:
        meant = attempts.attempts_by_id(connection, [attempt_id]).get(attempt_id)
        if meant is None:
            raise UnknownThing(f"no attempt with the id {attempt_id}", "one of the book's", "reload the page")
        if place is not None and place != (meant.camp, meant.athlete):
            raise Refused(
                "a turn of another child or camp",
                "one of this page",
                "go back to her page and choose it there",
            )
        before = attempts.withdrawals_of(connection, [attempt_id])
        if before:
            return before[0]
        fact = Withdrawal(id=new_id(desk), attempt=attempt_id, by=by, at=desk.clock(), reason=reason)
        attempts.add_withdrawals(connection, [fact])
        renew_standings(connection, desk.ladder, {(meant.camp, meant.athlete)})
    return fact


def earlier_marks_of(
    desk: Desk, camp_id: UUID, athlete_id: UUID, rungs: Iterable[str]
) -> Mapping[str, EarlierMarks]:
    """What was marked at the camp before, by rung; only for rungs where this camp's mark is in.

    Memory of an earlier performance pulls a new mark towards it, and a warning does
    not help; so the old mark is not sent at all before.
    """
    with desk.store.read() as connection:
        camp = camps.camp(connection, camp_id)
        hers = attempts.attempts_of_athlete(connection, athlete_id)
        seen_at = {c.id: c for c in camps.camps(connection, {a.camp for a in hers})}
    by_rung: dict[str, list[Attempt]] = {}
    for turn in hers:
        by_rung.setdefault(turn.rung, []).append(turn)
    return {rung: _earlier(camp, by_rung.get(rung, ()), seen_at) for rung in rungs}


def _earlier(camp: Camp, turns: Sequence[Attempt], seen_at: Mapping[UUID, Camp]) -> EarlierMarks:
    if not any(a.camp == camp.id for a in turns):
        return EarlierMarks(shown=False, why="Hidden until this camp’s mark is in.")
    seen = [c for c in (seen_at[a.camp] for a in turns) if c.place_in_time < camp.place_in_time]
    if not seen:
        return EarlierMarks(shown=True, why="Nothing was written on this rung before.")
    last = max(seen, key=lambda c: c.place_in_time)
    return EarlierMarks(shown=True, why="", camp=last, attempts=tuple(a for a in turns if a.camp == last.id))
