"""What left the machine: noted when it leaves, and told to whoever asks."""

from __future__ import annotations

import getpass
import hashlib
import os
from collections.abc import Collection, Iterable, Sequence
from dataclasses import dataclass
from pathlib import Path
from uuid import UUID

from loftbook.book.devices import Device
from loftbook.book.identity import uuid7
from loftbook.book.people import Athlete, Camp
from loftbook.desk import Desk
from loftbook.store import camps, leaving, people
from loftbook.store.database import Connection
from loftbook.store.leaving import GoneOut


@dataclass(frozen=True)
class Leaving:
    """What leaves, for whom, and about whom: children by id, those of a camp, those of a film, or everybody."""

    what: str
    for_whom: str
    athletes: tuple[UUID, ...] = ()
    camp: UUID | None = None
    film: UUID | None = None
    everybody: bool = False


@dataclass(frozen=True)
class Line:
    """A line of the log with the children of it who are still in the book."""

    out: GoneOut
    children: tuple[Athlete, ...]
    camp: Camp | None


def note_leaving(desk: Desk, one: Leaving, *, by: str, file: str = "", digest: str = "") -> GoneOut:
    """Writes down that something leaves the machine, before it does."""
    now = desk.clock()
    with desk.store.note() as connection:
        about = _about(connection, one)
        line = GoneOut(
            id=uuid7(now, seed=os.urandom(16)),
            at=now,
            what=one.what[:100],
            by=by[:200],
            for_whom=one.for_whom[:200],
            children=len(about),
            camp=one.camp,
            file=file,
            digest=digest,
        )
        leaving.note(connection, line, about)
    return line


def written(desk: Desk, one: Leaving, *files: Path) -> None:
    """Notes files that a command wrote, each with its digest, so that an erasure finds them again."""
    for file in files:
        note_leaving(desk, one, by=_by(), file=str(file.absolute()), digest=_digest(file))


def left_the_machine(desk: Desk, athlete_id: UUID | None = None) -> tuple[Line, ...]:
    """What left, the newest first; of one child where she is named, else the last 500 lines."""
    with desk.store.read() as connection:
        if athlete_id is None:
            lines = leaving.latest(connection)
        else:
            people.athlete(connection, athlete_id)
            lines = tuple(reversed(leaving.about(connection, athlete_id)))
        of = leaving.children_of(connection, [line.id for line in lines])
        known = {
            one.id: one for one in people.athletes(connection, {who for some in of.values() for who in some})
        }
        held = {one.id: one for one in camps.camps(connection)}
    return tuple(
        Line(
            line,
            tuple(known[who] for who in of.get(line.id, ()) if who in known),
            held.get(line.camp) if line.camp else None,
        )
        for line in lines
    )


def line_words(line: Line) -> str:
    """One line in words.

    A list of more than three children is told by their number.
    """
    out = line.out
    names = ", ".join(one.name.full for one in line.children) if len(line.children) <= 3 else ""
    gone = out.children - len(line.children)
    about = names or f"{out.children} children"
    about += f" and {gone} who was erased" if names and gone else ""
    if not names and out.children <= 1:
        about = "a child who was erased" if out.children else "nobody by name"
    camp = f", {line.camp.name} {line.camp.starts}" if line.camp else ""
    place = f", to {out.file}" if out.file else ""
    return f"{out.at:%Y-%m-%d %H:%M} UTC: {out.what} about {about}{camp}, for {out.for_whom}, taken by {out.by}{place}"


def _about(connection: Connection, one: Leaving) -> Collection[UUID]:
    if one.everybody:
        return {who.id for who in people.athletes(connection)}
    if one.film is not None:
        return leaving.children_in_film(connection, one.film)
    if one.athletes or one.camp is None:
        return _known(connection, one.athletes)
    return leaving.children_at(connection, one.camp)


def _known(connection: Connection, ids: Iterable[UUID]) -> Collection[UUID]:
    return {who.id for who in people.athletes(connection, tuple(ids))}


def _by() -> str:
    try:
        return f"a command of {getpass.getuser()}"
    except (OSError, KeyError):
        return "a command"


def _digest(file: Path) -> str:
    found = hashlib.sha256()
    with file.open("rb") as opened:
        while piece := opened.read(1 << 20):
            found.update(piece)
    return found.hexdigest()


def note_sheet(desk: Desk, device: Device) -> None:
    """Notes that a device got the sheet of the day: first names and numbers of its camp, or of the latest."""
    with desk.store.read() as connection:
        last = camps.last_camp(connection)
    camp = device.camp or (last.id if last else None)
    note_leaving(
        desk,
        Leaving("sheet of the day, first names and numbers", "whoever holds that device", camp=camp),
        by=device.name,
    )


#: What a paper is and for whom, by the first word of its file's name.
_PAPERS = {
    "letter": ("letter", "the home coach"),
    "parent": ("copy of the letter for parents", "a parent or guardian"),
    "hers": ("her own sheet", "the child herself"),
    "answer": ("form for the home coach's answer", "the home coach"),
    "evidence": ("evidence for a next step", "own coaches"),
    "programme": ("summary without names", "the programme"),
}


def papers_written(desk: Desk, files: Sequence[Path], *, camp: UUID | None = None) -> None:
    """Notes papers that a command wrote in one go; whose each is stands in its name, else it is the camp's."""
    with desk.store.read() as connection:
        ends = {str(one.id)[-6:]: one.id for one in people.athletes(connection)}
    with desk.store.note() as _:
        for file in files:
            words = file.stem.split("-")
            what, whom = _PAPERS.get(words[0], (file.stem, "own coaches"))
            what = f"draft of a mail with the {what}" if file.suffix == ".eml" else what
            hers = ends.get(words[-1])
            one = Leaving(what, whom, (hers,)) if hers else Leaving(what, whom, camp=camp)
            written(desk, one, file)
