"""Erase a child in one step: the book, its log, her films, the automatic backups, papers that were written of her."""

from __future__ import annotations

import hashlib
import mmap
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path
from uuid import UUID

from loftbook.book.naming import Naming
from loftbook.book.people import Athlete
from loftbook.desk import Desk
from loftbook.desk.film.places import delete_files, film_folder_of
from loftbook.desk.privacy.backups import backups_folder, start_anew
from loftbook.desk.privacy.forgetting import forget_child
from loftbook.desk.standing import up_to_date
from loftbook.errors import Refused
from loftbook.store import clips, devices, erasing, leaving, people, same_as
from loftbook.store.leaving import GoneOut
from loftbook.store.upkeep import compact


@dataclass(frozen=True)
class Erased:
    """What an erasure took out, and what it could not reach.

    `left` are sentences about what still names her in the book's own files, empty as a rule;
    `elsewhere` about copies that lie out of reach: papers that went home, tablets.

    `rows` are rows by table, `texts` how many texts of others no longer name her,
    `backups` how many automatic backups were deleted, and `fresh` the one that was made after.
    """

    rows: Mapping[str, int]
    texts: int
    films: int
    lists: tuple[str, ...]
    papers: tuple[str, ...]
    backups: int
    fresh: Path | None
    left: tuple[str, ...]
    elsewhere: tuple[str, ...]


#: What is made for her or her parents to keep is not deleted with her, but named.
ARCHIVE = "archive of all that is held"


def erase_child(desk: Desk, athlete_id: UUID, *, typed: str, by: str) -> Erased:
    """Erases one child for good. `typed` must be her full name, so that nobody does it by a slip.

    Counts by camp and rung stay, without her. Raises Refused where the name does not fit
    or nobody says who erases, and UnknownThing for a child who is not in the book.
    """
    with up_to_date(desk) as connection:
        her = people.athlete(connection, athlete_id)
    _must_be_meant(her, typed=typed, by=by)
    with desk.store.write() as connection:
        papers = leaving.about(connection, athlete_id)
        films = clips.films_of(connection, athlete_id)
        elsewhere_known_as = same_as.numbers_of(connection, athlete_id)
        forgotten = forget_child(connection, athlete_id)
        told = {name: count for name, count in forgotten.rows.items() if count}
        erasing.note_erased(connection, athlete_id, at=desk.clock(), by=by.strip()[:200], told=told)
        for number in elsewhere_known_as:  # an older book of another laptop must not bring her back
            erasing.note_erased(connection, number, at=desk.clock(), by=by.strip()[:200], told={"same_as": 1})
        still = erasing.traces(connection, forgotten.naming)
        others = tuple(name.full for one in people.athletes(connection) for name in one.names)
        listening = [one for one in devices.devices(connection) if one.stands(desk.clock())]
        for film in films:
            delete_files(desk, film)
    desk.answers.clear()
    deleted, elsewhere = _papers(papers)
    left = [f"{one.table}.{one.column} still names her" for one in still]
    elsewhere += [_ON_A_DEVICE.format(name=one.name) for one in listening]
    gone, fresh = 0, None
    if desk.store.path is not None:
        left += compact(desk.store)
        gone, backup = start_anew(desk)
        fresh = backup.file
        left += _seen_in_files(desk.store.path, forgotten.naming, others)
    return Erased(
        rows=told,
        texts=forgotten.texts.total(),
        films=len(films),
        lists=forgotten.lists,
        papers=deleted,
        backups=gone,
        fresh=fresh,
        left=tuple(left),
        elsewhere=tuple(elsewhere),
    )


_ON_A_DEVICE = (
    "{name} is still let in, and may hold her first name and results that it has not sent: let it look at the day's "
    "sheet once, or shut it out and clear its browser"
)


def _must_be_meant(her: Athlete, *, typed: str, by: str) -> None:
    if " ".join(typed.split()) != " ".join(her.name.full.split()):
        raise Refused(
            f"the name {typed[:80]!r}" if typed.strip() else "no name",
            f"{her.name.full!r}, as the book writes it",
            "type her whole name, so that nobody else is erased by a slip",
        )
    if not by.strip():
        raise Refused("nobody who erases her", "a name", "write your name; it is all that is kept of this")


def _papers(written: Iterable[GoneOut]) -> tuple[tuple[str, ...], list[str]]:
    """Deletes papers about her alone that lie as they were written; says which others may hold her."""
    deleted: list[str] = []
    left: list[str] = []
    for one in written:
        file = Path(one.file) if one.file else None
        if file is not None and one.children == 1 and one.what != ARCHIVE and _is(file, one.digest):
            file.unlink()
            deleted.append(one.file)
        elif file is None or file.exists():
            where = f", in {one.file}" if file else ""
            left.append(
                f"{one.what} of {one.at:%Y-%m-%d} for {one.for_whom}{where}: ask for it to be deleted there"
            )
    return tuple(deleted), list(dict.fromkeys(left))


def _is(file: Path, digest: str) -> bool:
    try:
        return file.is_file() and hashlib.sha256(file.read_bytes()).hexdigest() == digest
    except OSError:
        return False


def _seen_in_files(book: Path, naming: Naming, others: Iterable[str]) -> Iterator[str]:
    """Looks at every byte of the book, its log, its backups and the names of its films for her name and her id.

    Her name inside the name of another child who stays ("Mia Moor" in "Mia Moorland") is that child's.
    """
    wanted = _needles(naming)
    theirs = tuple(form.encode() for name in others for form in _cases(name))
    for file in _files(book):
        try:
            with file.open("rb") as opened:
                if file.stat().st_size and _holds(opened.fileno(), wanted, theirs):
                    yield f"{file.name} still holds her name or id: close other programs, then run `loftbook book tidy`"
        except OSError as error:
            yield f"{file.name} could not be looked at ({error.strerror})"


def _files(book: Path) -> Iterator[Path]:
    yield from (one for one in book.parent.glob(book.name + "*") if one.is_file())
    for folder in (backups_folder(book), film_folder_of(book)):
        if folder.is_dir():
            yield from (one for one in folder.rglob("*") if one.is_file() and one.suffix not in _PICTURES)


_PICTURES = frozenset({".mp4", ".mov", ".jpg", ".png"})


def _needles(naming: Naming) -> tuple[bytes, ...]:
    texts = {str(naming.id), naming.id.hex}
    for name in naming.names:
        texts |= _cases(name.full)
    return (naming.id.bytes, *(text.encode() for text in texts))


def _cases(name: str) -> set[str]:
    return {form for form in (name, name.upper(), name.lower()) if form.strip()}


def _holds(descriptor: int, wanted: tuple[bytes, ...], theirs: tuple[bytes, ...]) -> bool:
    with mmap.mmap(descriptor, 0, access=mmap.ACCESS_READ) as data:
        return any(_stands_alone(data, one, tuple(name for name in theirs if one in name)) for one in wanted)


def _stands_alone(data: mmap.mmap, one: bytes, theirs: tuple[bytes, ...]) -> bool:
    """Whether these bytes stand anywhere but inside one of their names."""
    at = data.find(one)
    while at >= 0:
        if not any(_covered(data, at, one, name) for name in theirs):
            return True
        at = data.find(one, at + 1)
    return False


def _covered(data: mmap.mmap, at: int, one: bytes, name: bytes) -> bool:
    start = at - name.index(one)
    return start >= 0 and data[start : start + len(name)] == name


def erased_lines(done: Erased) -> Iterator[str]:
    """What an erasure did and what it could not reach, in words."""
    yield f"Erased: {sum(done.rows.values())} rows, {done.films} films, {done.texts} texts of others that named her."
    yield from (f"List that waited, put away: {name}" for name in done.lists)
    yield from (f"Paper deleted: {name}" for name in done.papers)
    if done.fresh:
        yield f"{done.backups} backups deleted; one without her is made: {done.fresh.name}"
    yield from (f"STILL THERE: {line}" for line in done.left)
    if done.elsewhere:
        yield "Out of reach from here:"
        yield from (f"  {line}" for line in done.elsewhere)
