"""Marking turns again from their films, blind: the order is mixed; her name, the camp and earlier marks stay hidden.

A mark of one's own turn a week or more later tells whether the yardstick moved; a mark of
another's turn tells how alike two people mark. Neither adds a turn to the child.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from hashlib import sha256
from uuid import UUID

from loftbook.book.attempts import Attempt
from loftbook.book.entries import entry_of
from loftbook.book.turns import FORGOTTEN
from loftbook.desk import Desk
from loftbook.desk.entry import new_id, write_entry
from loftbook.desk.film.places import clip_files, keeps_films
from loftbook.desk.lab.films import may_be_seen
from loftbook.errors import Refused, UnknownThing
from loftbook.ladder.rungs import Criterion, Rung
from loftbook.store import attempts, clips, people
from loftbook.store.database import Connection


@dataclass(frozen=True)
class Unseen:
    """One film to be marked without knowing what was marked: only the rung is told."""

    clip: UUID
    rung: Rung
    criteria: tuple[Criterion, ...]
    left: int  # how many films wait, this one among them
    invented: bool


@dataclass(frozen=True)
class Seen:
    """What somebody saw in a film: outcome and rotation as keys of the scales, marks by criterion."""

    outcome: str
    rotation: str
    marks: Mapping[str, int]


def next_unseen(desk: Desk, rater: str) -> Unseen | None:
    """The next film for this person; None where none waits. Raises Refused without a name."""
    rater = _named(rater)
    with desk.store.read() as connection:
        found = tuple(_waiting(desk, connection, rater))
        if not found:
            return None
        clip, turn = found[0]
        invented = people.athlete(connection, turn.athlete).invented
    return Unseen(clip, desk.ladder.rung(turn.rung), desk.ladder.criteria, len(found), invented)


def mark_again(desk: Desk, rater: str, clip: UUID, seen: Seen) -> None:
    """Writes the mark down as a second one of that turn; the first stays as it is.

    Raises UnknownThing for a film that does not wait for this person, Refused as any entry is.
    """
    rater = _named(rater)
    with desk.store.read() as connection:
        turn = next((turn for one, turn in _waiting(desk, connection, rater) if one == clip), None)
    if turn is None:
        raise UnknownThing(
            "no such film that waits for you", "one that the page shows", "go back to the page"
        )
    said = {"outcome": seen.outcome, "rotation": seen.rotation, "marks": dict(seen.marks)}
    about = {"id": new_id(desk), "at": desk.clock(), "rater": rater, "device": "marked again from film"}
    bare = {"note": "", "replaces": None, "second": True, "source": "entry"}
    written = write_entry(desk, entry_of(turn, **said, **about, **bare))
    if written.status not in ("stored", "duplicate"):
        raise Refused(written.why)


def _waiting(desk: Desk, connection: Connection, rater: str) -> Iterable[tuple[UUID, Attempt]]:
    """Films and their turns in a mixed order, the same for one person until one is marked."""
    if not keeps_films(desk):
        return ()
    films = {one.attempt: one.id for one in clips.clips(connection)}
    camps_of = {one.camp for one in attempts.attempts_by_id(connection, films).values()}
    rows = [one for camp in camps_of for one in attempts.attempts_of_camp(connection, camp)]
    known = {one.key for one in desk.ladder.rungs}
    mine = [
        (films[where], turn)
        for turn in rows
        if (where := turn.id if turn.id in films else turn.replaces) in films
        and turn.turn is not None
        and not turn.second
        and turn.rung in known
        and _is_due(desk, turn, rows, rater)
    ]
    shown = [one for one in mine if _may_be_shown(desk, connection, *one)]
    return sorted(shown, key=lambda one: sha256(f"{rater}{one[0]}".encode()).digest())


def _is_due(desk: Desk, turn: Attempt, rows: Iterable[Attempt], rater: str) -> bool:
    """Whether this person has not marked it again yet, and has had time to forget a mark of her own."""
    of_turn = (turn.camp, turn.athlete, turn.rung, turn.turn)
    same = [one for one in rows if (one.camp, one.athlete, one.rung, one.turn) == of_turn]
    again = any(one.second and one.rater == rater for one in same)
    return not again and (turn.rater != rater or desk.clock() - turn.at >= FORGOTTEN)


def _may_be_shown(desk: Desk, connection: Connection, clip: UUID, turn: Attempt) -> bool:
    who = people.athlete(connection, turn.athlete)
    return clip_files(desk, clip).proxy.exists() and may_be_seen(desk, connection, who)


def _named(rater: str) -> str:
    if not rater.strip():
        raise Refused("no name", "who marks", "write your name as it stands with your marks")
    return rater.strip()
