"""Who is expected at a camp: said by the coach, or proposed from the roster; and who was away."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Any
from uuid import UUID

from loftbook.book.people import Athlete, Camp
from loftbook.desk import Desk
from loftbook.desk.people import find_athlete
from loftbook.errors import Refused, UnknownThing
from loftbook.store import attempts, camps, imports, people
from loftbook.store.database import Connection

LONGEST_BIB = 12  # characters


@dataclass(frozen=True)
class Expecting:
    """Everybody in the book, and of them who is expected at a camp.

    `said`: whether the coach said so. Until then `who` is a proposal, and `why` tells
    where it comes from. `written`: of whom something is written at this camp.
    """

    camp: Camp
    everyone: tuple[Athlete, ...]  # in running order
    who: frozenset[UUID]
    bibs: Mapping[UUID, str]
    said: bool
    why: str
    written: frozenset[UUID]

    @property
    def expected(self) -> tuple[Athlete, ...]:
        """Those who are expected, or proposed, in running order."""
        return tuple(athlete for athlete in self.everyone if athlete.id in self.who)


def expecting(desk: Desk, camp_id: UUID) -> Expecting:
    """Who is expected at a camp; where nobody said so, whoever the newest roster for it names, else the squad."""
    with desk.store.read() as connection:
        camp = camps.camp(connection, camp_id)
        bibs = camps.expected(connection, camp_id)
        everyone = people.athletes(connection)
        written = frozenset(a.athlete for a in attempts.attempts_of_camp(connection, camp_id))
        who, why = (frozenset(bibs), "as you said") if bibs else _proposed(connection, camp, everyone)
    return Expecting(camp, everyone, who, bibs, bool(bibs), why, written)


def expect(
    desk: Desk, camp_id: UUID, who: Iterable[UUID], *, bibs: Mapping[UUID, str] | None = None
) -> Expecting:
    """Says who is expected at a camp, these and nobody else, each with her number if she has one.

    Without `bibs` the numbers given before stay. With nobody the list is taken back, and
    the whole book stands there again. Results are not touched. Raises UnknownThing for
    somebody who is not in the book, Refused for one number on two backs.
    """
    wanted = frozenset(who)
    with desk.store.write() as connection:
        camps.camp(connection, camp_id)
        known = {athlete.id for athlete in people.athletes(connection, wanted)}
        if wanted - known:
            raise UnknownThing("somebody who is not in this book", "a child of the squad", "reload the page")
        before = camps.expected(connection, camp_id)
        numbers = {one: before.get(one, "") if bibs is None else bibs.get(one, "").strip() for one in wanted}
        _check(numbers)
        otherwise = [one for one, bib in before.items() if numbers.get(one) != bib]
        camps.expect_no_more(connection, camp_id, otherwise)
        camps.expect(connection, camp_id, numbers)
    return expecting(desk, camp_id)


def expect_named(
    desk: Desk,
    camp_id: UUID,
    *,
    add: Mapping[str, str],
    drop: Iterable[str] = (),
    proposed: bool = False,
    nobody: bool = False,
) -> Expecting:
    """Says it by names: `add` (each with her number, empty for none) and `drop`, from those said before.

    With `proposed` it begins with those proposed where nobody was said. Dropping somebody
    where nobody was said begins there too: everybody proposed but her.
    """
    with desk.store.write():
        now = expecting(desk, camp_id)
        if nobody:
            return expect(desk, camp_id, ())
        gone = {find_athlete(desk, name).id for name in drop}
        new = {find_athlete(desk, name).id: bib for name, bib in add.items()}
        start = now.who if now.said or proposed or gone else frozenset()
        bibs = {**now.bibs, **{who: bib for who, bib in new.items() if bib}}
        return expect(desk, camp_id, (start | new.keys()) - gone, bibs=bibs)


def expect_also(connection: Connection, camp_id: UUID, who: Collection[UUID]) -> int:
    """Adds these to those who are expected at a camp; returns how many are new there."""
    return camps.expect(connection, camp_id, dict.fromkeys(who, ""))


def children_of(
    connection: Connection, bibs: Mapping[UUID, str], written: Collection[UUID]
) -> tuple[Athlete, ...]:
    """Who is at a camp: those expected, by bib and then by name, then others of whom something is written.

    The whole book where nobody said who is expected.
    """
    found = people.athletes(connection, {*bibs, *written} if bibs else None)
    return tuple(sorted(found, key=lambda a: (a.id not in bibs, *_bib_order(bibs.get(a.id, "")))))


def _bib_order(bib: str) -> tuple[int, int, str]:
    return (0, int(bib), "") if bib.isdecimal() and len(bib) < 10 else (1, 0, bib)


def _check(bibs: Mapping[UUID, str]) -> None:
    given = [bib for bib in bibs.values() if bib]
    twice = next((bib for bib in given if given.count(bib) > 1), "")
    if twice:
        raise Refused(f"the number {twice!r} on two backs", "a number for one child", "change one of them")
    long = next((bib for bib in given if len(bib) > LONGEST_BIB), "")
    if long:
        raise Refused(f"the number {long[:20]!r}", f"at most {LONGEST_BIB} characters", "shorten it")


def _proposed(
    connection: Connection, camp: Camp, everyone: tuple[Athlete, ...]
) -> tuple[frozenset[UUID], str]:
    """Whom the newest roster names that came after the camp before this one and not after it; else everybody."""
    earlier = [one for one in camps.camps(connection) if one.ends < camp.starts]
    after = earlier[-1].ends if earlier else None
    known = {str(athlete.id): athlete.id for athlete in everyone}
    for done in imports.imports(connection):
        if done.kind == "roster" and done.at.date() <= camp.ends and (not after or done.at.date() > after):
            named = frozenset(known[one] for one in _named(done.report) if one in known)
            if named:
                return named, f"the roster {done.name}, read on {_day(done.at)}"
    return frozenset(known.values()), "everybody in the squad"


def _named(report: Mapping[str, Any]) -> set[str]:
    return {row["athlete"] for row in report.get("rows", ()) if row.get("athlete")}


def _day(when: datetime) -> str:
    return when.date().isoformat()
