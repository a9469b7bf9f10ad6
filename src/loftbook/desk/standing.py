"""Keep the standings, which are findings, true to the attempts, which are facts.

What one person writes down is judged in the same breath. What forty devices send at
once is kept and answered first, and noted as behind in the same transaction; it is
judged when somebody looks. A program that is killed in between has lost nothing: the
note is in the book with the facts.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator
from contextlib import contextmanager
from uuid import UUID

from loftbook.book.attempts import Attempt
from loftbook.book.turns import counted
from loftbook.desk import Desk
from loftbook.insight.standing import camp_standings
from loftbook.ladder.rungs import Ladder
from loftbook.store import attempts, standings
from loftbook.store.database import Connection


@contextmanager
def up_to_date(desk: Desk) -> Iterator[Connection]:
    """A view of the book in which all standings are true to what is written; for whoever reads standings."""
    if desk.before_reading is not None:
        desk.before_reading()
        with desk.store.read() as connection:
            yield connection
        return
    for _ in range(_TRIES):
        with desk.store.read() as connection:
            if not standings.behind(connection):
                yield connection
                return
        _catch_up_now(desk)
    # Devices send without a pause: nothing more comes in while this is looked at.
    with desk.store.write() as connection:
        renew_standings(connection, desk.ladder, standings.behind(connection))
        yield connection


_TRIES = 3


def catch_up(desk: Desk) -> None:
    """Makes anew what fell behind, if anything did."""
    with desk.store.read() as connection:
        late = bool(standings.behind(connection))
    if late:
        _catch_up_now(desk)


def _catch_up_now(desk: Desk) -> None:
    with desk.store.write() as connection:
        renew_standings(connection, desk.ladder, standings.behind(connection))


def renew_standings(connection: Connection, ladder: Ladder, touched: Iterable[tuple[UUID, UUID]]) -> None:
    """Works out anew where these (camp, child) pairs stand, from the attempts in force."""
    by_camp: dict[UUID, set[UUID]] = {}
    for camp, child in touched:
        by_camp.setdefault(camp, set()).add(child)
    for camp, children in by_camp.items():
        _renew(connection, ladder, camp, children)


def remake_all(desk: Desk) -> int:
    """Throws all standings away and makes them again from the facts; returns how many."""
    with desk.store.write() as connection:
        return standings.rebuild_standings(
            connection, lambda rows: camp_standings(each_once(connection, rows), desk.ladder)
        )


def each_once(connection: Connection, rows: Iterable[Attempt]) -> tuple[Attempt, ...]:
    """The attempts in force, one for each turn: a second rater's mark or an unsettled correction adds none."""
    known = tuple(rows)
    return counted(known, attempts.roots_of(connection, known))


def _renew(connection: Connection, ladder: Ladder, camp: UUID, children: Collection[UUID] | None) -> int:
    made = camp_standings(
        each_once(connection, attempts.attempts_of_camp(connection, camp, children)), ladder
    )
    standings.replace_standings(connection, camp, children, made)
    return len(made)
