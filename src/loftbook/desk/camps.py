"""Make a camp, put right how it is described, and say that its surfaces are as assumed."""

from __future__ import annotations

import os
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from datetime import date, timedelta
from uuid import UUID

from loftbook.book.attempts import Attempt
from loftbook.book.entries import LONGEST_NAME
from loftbook.book.identity import uuid7
from loftbook.book.people import Camp
from loftbook.desk import Desk
from loftbook.desk.editions import keep_edition
from loftbook.desk.standing import renew_standings
from loftbook.errors import Refused
from loftbook.ladder.scales import Landing, TakeOff
from loftbook.store import attempts, camps, people
from loftbook.store.camps import CampBefore
from loftbook.store.database import Connection

FIRST_YEAR = 1980  # a camp before it is a slip of the finger
AHEAD = 3  # years; nobody plans a camp further ahead
_LONGEST = timedelta(days=60)


@dataclass(frozen=True)
class Described:
    """A camp as it is described now, and how it was described before, the oldest first."""

    camp: Camp
    before: tuple[CampBefore, ...]


@dataclass(frozen=True)
class PutRight:
    """What a correction did: the camp as it is now, and how many turns were written anew for it."""

    camp: Camp
    changed: bool
    turns: int


def make_camp(desk: Desk, camp: Camp) -> Camp:
    """Puts a camp into the book; an id of all zeros is replaced by a new one.

    Raises Refused for days that no camp has, surfaces that nobody knows, or a camp
    without a name.
    """
    _check(camp, desk.clock().date())
    made = replace(
        camp,
        id=camp.id if camp.id.int else uuid7(desk.clock(), seed=os.urandom(16)),
        edition=camp.edition or desk.ladder.edition,
        recorded=camp.recorded or desk.clock(),
    )
    with desk.store.write() as connection:
        camps.add_camp(connection, made)
        keep_edition(connection, desk)
    return made


def described(desk: Desk, camp_id: UUID) -> Described:
    """A camp with all that was put right in its description."""
    with desk.store.read() as connection:
        return Described(camps.camp(connection, camp_id), camps.camp_before(connection, camp_id))


def put_camp_right(desk: Desk, camp: Camp, *, by: str, turns_too: bool = True) -> PutRight:
    """Describes a known camp anew; the old description is kept, with who put it right and when.

    With `turns_too` a turn that was written with the camp's old surface is corrected to the
    new one, by a new fact; the old one stays readable. A turn of a typed list stands on the
    camp's first day and follows it. Raises Refused as `make_camp` does, and where the new
    days cannot hold what was written at the camp.
    """
    today = desk.clock().date()
    if not by.strip():
        raise Refused("nobody’s name", "who puts the camp right", "write your name")
    _short("who puts the camp right", by)
    _check(camp, today)
    with desk.store.write() as connection:
        old = camps.camp(connection, camp.id)
        new = replace(camp, edition=old.edition, invented=old.invented, recorded=old.recorded)
        turns = attempts.attempts_of_camp(connection, camp.id)
        _hold_what_is_written(connection, new, turns, today)
        changed = camps.change_camp(connection, new, at=desk.clock(), by=by.strip())
        corrected = tuple(_corrected(desk, turns, old, new, surfaces=turns_too))
        receipts = attempts.add_attempts(connection, corrected)
        lost = [receipt.why for receipt in receipts if receipt.verdict is not attempts.Verdict.STORED]
        if lost:
            raise Refused(f"a turn that cannot be written anew ({lost[0]})")
        renew_standings(connection, desk.ladder, {(a.camp, a.athlete) for a in corrected})
    return PutRight(new, changed or bool(corrected), len(corrected))


def confirm_surfaces(desk: Desk, camp_id: UUID, *, by: str) -> PutRight:
    """The coach says that the camp was from and onto what was assumed; twice changes nothing."""
    with desk.store.read() as connection:
        camp = camps.camp(connection, camp_id)
    return put_camp_right(desk, replace(camp, surfaces_assumed=False), by=by)


def _check(camp: Camp, today: date) -> None:
    if not camp.name.strip():
        raise Refused("a camp without a name", "a name", "call it by season and hall")
    _short("the camp's name", camp.name)
    _short("the hall", camp.place)
    _short("the bed", camp.bed)
    for rater in camp.raters:
        _short("who marks", rater)
    for what, given, known in (
        ("take-off", camp.take_off, [t.value for t in TakeOff]),
        ("landing", camp.landing, [m.value for m in Landing]),
    ):
        if given not in known:
            raise Refused(f"the {what} {given!r}", f"one of {', '.join(known)}", "choose one of these")
    if camp.ends < camp.starts or camp.ends - camp.starts > _LONGEST:
        raise Refused(
            f"a camp from {camp.starts} to {camp.ends}",
            f"an end on or up to {_LONGEST.days} days after the start",
            "check both days",
        )
    if not FIRST_YEAR <= camp.starts.year <= today.year + AHEAD:
        raise Refused(
            f"a camp in the year {camp.starts.year}",
            f"a year from {FIRST_YEAR} to {today.year + AHEAD}; today is {today}",
            "check the year, and the clock of this machine",
        )


def _short(what: str, told: str) -> None:
    if len(told) > LONGEST_NAME:
        raise Refused(f"{len(told)} letters for {what}", f"at most {LONGEST_NAME}", "say it shorter")


def _hold_what_is_written(connection: Connection, camp: Camp, turns: Iterable[Attempt], today: date) -> None:
    """Refuses days that cannot hold the turns of the camp: still to come, or before a child was born."""
    there = {turn.athlete for turn in turns}
    if there and camp.starts > today + timedelta(days=1):
        raise Refused(
            f"a camp from {camp.starts} with turns written at it, which lies in the future; today is {today}",
            "a camp that has begun",
            "check the year, and the clock of this machine",
        )
    young = [a for a in people.athletes(connection, there) if a.born and a.born > camp.starts]
    if young:
        raise Refused(
            f"a camp from {camp.starts} with turns of {young[0].name.full}, born on {young[0].born}",
            "a camp after she was born",
            "check the camp’s year, and her day of birth",
        )


def _corrected(
    desk: Desk, turns: Iterable[Attempt], old: Camp, new: Camp, *, surfaces: bool
) -> Iterator[Attempt]:
    """The turns that follow the camp: with its new surfaces, on its new first day."""
    moved = new.starts - old.starts
    for turn in turns:
        found = turn
        if surfaces and turn.take_off is not None and turn.take_off.value == old.take_off:
            found = replace(found, take_off=TakeOff(new.take_off))
        if surfaces and turn.landing is not None and turn.landing.value == old.landing:
            found = replace(found, landing=Landing(new.landing))
        if moved and turn.source.startswith("list"):  # it tells no hour, but noon of the first day
            found = replace(found, at=turn.at + moved)
        if found != turn:
            number = uuid7(desk.clock(), seed=os.urandom(16))
            yield replace(found, id=number, replaces=turn.id, source=f"{turn.source}, camp put right")
