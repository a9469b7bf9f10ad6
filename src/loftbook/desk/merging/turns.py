"""Turns, what was taken back, and what waits for the head coach, out of another book."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from typing import Any
from uuid import UUID

from loftbook.book.attempts import Attempt, Withdrawal
from loftbook.book.merge.turns import TurnsMet, is_listed, meet_turns
from loftbook.book.records import digest_of_record
from loftbook.desk.merging.sides import BOOK, Sides
from loftbook.desk.merging.told import Part, conflict_row
from loftbook.desk.sheet import record_of
from loftbook.store import attempts, received, standings
from loftbook.store.attempts import Verdict
from loftbook.store.database import Connection
from loftbook.store.received import Received


@dataclass(frozen=True)
class AllTurns:
    """The turns of the other book and what hangs on them."""

    part: Part
    turns: TurnsMet
    withdrawals: tuple[Withdrawal, ...]
    receipts: tuple[Received, ...]
    aside: tuple[dict[str, Any], ...]  # what waited there already


def meet_all_turns(sides: Sides) -> AllTurns:
    """Every turn of the camps that come, each once."""
    theirs, waiting = _in_our_numbers(sides)
    ids = {turn.id for turn in theirs}
    here = attempts.attempts_by_id(sides.here, ids)
    listed = [turn for camp in {t.camp for t in theirs} for turn in _listed_here(sides, camp, ids)]
    sent_here, sent_there = received.digests(sides.here, ids), received.digests(sides.there, ids)
    alike = {one for one, digest in sent_there.items() if sent_here.get(one) == digest}
    met = meet_turns(theirs, here, listed, sent_alike=alike.__contains__)
    back, back_same, back_aside = _withdrawals(sides, met)
    new = {turn.id for turn in met.new} | {one.id for one in back}
    receipts = tuple(replace(one, device=None) for one in received.received_of(sides.there, new))
    conflicts = [_turn_row(sides, stands, other) for stands, other in met.conflicts]
    waited = _waiting_there(sides)
    part = Part(
        "turns",
        stored=len(met.new) + len(back),
        duplicate=met.same + back_same,
        conflict=len(conflicts) + len(back_aside),
        refused=len(met.refused),
        waiting=waiting,
        notes=tuple(sorted({f"A turn was refused: {why}." for _, why in met.refused})),
        aside=(*conflicts, *back_aside, *waited),
    )
    return AllTurns(part, met, back, receipts, waited)


def write_turns(connection: Connection, met: AllTurns) -> None:
    """Writes the new turns by the same way as a tablet's; where everybody stands is worked out for whoever looks."""
    receipts = (
        *attempts.add_attempts(connection, met.turns.new),
        *attempts.add_withdrawals(connection, met.withdrawals),
    )
    if any(receipt.verdict is not Verdict.STORED for receipt in receipts):
        raise RuntimeError("a turn was decided to be new, and the book has it or lacks what it names")
    received.add_received(connection, met.receipts)
    about = {one.attempt for one in met.withdrawals} | {t.replaces for t in met.turns.new if t.replaces}
    changed = attempts.attempts_by_id(connection, about).values()
    standings.fall_behind(connection, {(turn.camp, turn.athlete) for turn in (*met.turns.new, *changed)})


def _in_our_numbers(sides: Sides) -> tuple[list[Attempt], int]:
    """The other book's turns with camp and child as this book numbers them; and how many wait for an answer."""
    found, waiting = [], 0
    for there, here in sides.camps.items():
        for turn in attempts.attempts_of_camp(sides.there, there, all=True):
            who = sides.athletes.get(turn.athlete)
            if who is None:
                waiting += turn.athlete in sides.held
            else:
                found.append(replace(turn, camp=here, athlete=who))
    return found, waiting


def _listed_here(sides: Sides, camp: UUID, theirs: set[UUID]) -> Iterable[Attempt]:
    """Turns of typed lists that only this book has: each may be one of the other book's under another number."""
    if camp in sides.new_camps:
        return ()
    every = attempts.attempts_of_camp(sides.here, camp, all=True)
    return (turn for turn in every if is_listed(turn) and turn.id not in theirs)


def _withdrawals(
    sides: Sides, met: TurnsMet
) -> tuple[tuple[Withdrawal, ...], int, tuple[dict[str, Any], ...]]:
    theirs = attempts.withdrawals_of(sides.there, tuple(met.numbers))
    told = {one.id: replace(one, attempt=met.numbers[one.attempt]) for one in theirs}
    targets = {one.attempt for one in told.values()}
    mine = {one.id: one for one in attempts.withdrawals_of(sides.here, tuple(targets))}
    new, same, aside = [], 0, []
    for one in told.values():
        if one.id not in mine:
            new.append(one)
        elif mine[one.id] == one or received.digests(sides.here, [one.id]) == received.digests(
            sides.there, [one.id]
        ):
            same += 1
        else:
            aside.append(_withdrawal_row(sides, mine[one.id], one))
    return tuple(new), same, tuple(aside)


def _turn_row(sides: Sides, stands: Attempt, other: Attempt) -> dict[str, Any]:
    """A conflict over one turn, kept as a tablet's would be, so that the same page settles it."""
    record = record_of(other)
    return {
        "digest": digest_of_record(record),
        "id": other.id,
        "athlete": stands.athlete,
        "camp": stands.camp,
        "verdict": "conflict",
        "why": (
            "Two books have this number with different contents. Nothing was overwritten; the other book’s version "
            "is kept for the head coach."
        ),
        "record": record,
        "device": None,
        "way": sides.way,
    }


def _withdrawal_row(sides: Sides, here: Withdrawal, there: Withdrawal) -> dict[str, Any]:
    turn = attempts.attempts_by_id(sides.here, [here.attempt])[here.attempt]
    return conflict_row(
        "taking back of a turn",
        f"{here.by}: {here.reason}",
        f"{there.by}: {there.reason}",
        name=sides.names.get(turn.athlete, "a child"),
        way=sides.way,
        athlete=turn.athlete,
        camp=turn.camp,
    )


def _waiting_there(sides: Sides) -> tuple[dict[str, Any], ...]:
    """What waits for the head coach in the other book waits here as well, about children and camps that came."""
    rows = []
    for one in received.aside_rows(sides.there):
        athlete, camp = one["athlete"], one["camp"]
        if (athlete and athlete not in sides.athletes) or (camp and camp not in sides.camps):
            continue
        if one["way"].startswith(BOOK):
            continue  # what it found in comparing itself with a book, perhaps this one
        mine = {
            "athlete": sides.athletes.get(athlete) if athlete else None,
            "camp": sides.camps.get(camp) if camp else None,
        }
        record = one["record"]
        if isinstance(record, dict):
            told = {name: str(value) for name, value in mine.items() if value and name in record}
            record = record | told
        rows.append(one | mine | {"record": record, "device": None})
    return tuple(rows)
