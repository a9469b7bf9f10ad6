"""Backups of the book that make themselves, are looked through, and are rotated; and the way back from one."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path

from loftbook.book.films import FilmGone
from loftbook.book.rotation import Rotation, is_due, to_keep
from loftbook.desk import Desk
from loftbook.desk.film.places import film_folder_of
from loftbook.desk.privacy.forgetting import forget_child
from loftbook.errors import BookFileError, LoftbookError
from loftbook.store import clips, erasing, people
from loftbook.store.backups import erasures_in, looked_through, put_back
from loftbook.store.database import MARK, Store, open_book

_NAME = "%Y-%m-%dT%H-%M-%SZ.book"
#: A book that a restore replaced is kept under this name, out of the rotation, so many of them.
_BEFORE = "before-restore-"
BEFORE_KEPT = 5
_READ = re.compile(r"\d{4}-\d\d-\d\dT\d\d-\d\d-\d\dZ\.book")


@dataclass(frozen=True)
class Backup:
    """One automatic backup: where it lies, when it was made, how large it is (bytes)."""

    file: Path
    at: datetime
    size: int


@dataclass(frozen=True)
class Restored:
    """A book that was made what a backup holds.

    `kept` is the book that was there before, as a backup of its own. `erased_again` are
    children who were erased after the backup was made, `films_gone` films that were
    deleted since: neither comes back.
    """

    book: Path
    backup: Path
    rows: Mapping[str, int]
    kept: Path | None
    erased_again: int
    films_gone: int


def backups_folder(book: Path) -> Path:
    """Where the automatic backups of a book in this file lie."""
    return book.with_name(book.name + ".backups")


def backups_of(book: Path) -> tuple[Backup, ...]:
    """The automatic backups of a book, the newest first."""
    return _named_as(book, "")


def replaced_books(book: Path) -> tuple[Backup, ...]:
    """The books that restores replaced, the newest first: the way back from the way back."""
    return _named_as(book, _BEFORE)


def _named_as(book: Path, prefix: str) -> tuple[Backup, ...]:
    folder = backups_folder(book)
    files = folder.iterdir() if folder.is_dir() else ()
    found = (
        Backup(one, datetime.strptime(one.name, prefix + _NAME).replace(tzinfo=UTC), one.stat().st_size)
        for one in files
        if one.name.startswith(prefix) and _READ.fullmatch(one.name.removeprefix(prefix))
    )
    return tuple(sorted(found, key=lambda one: one.at, reverse=True))


def back_up(desk: Desk, *, rotation: Rotation | None = None) -> Backup:
    """Makes a backup now, looked through and counted, and puts away those that have had their day.

    Raises BookFileError where the copy is not whole: then nothing older is put away.
    """
    book = _file_of(desk)
    made = _kept_now(desk.store, book, desk.clock())
    keep = to_keep([one.at for one in backups_of(book)], rotation)
    for one in backups_of(book):
        if one.at not in keep:
            one.file.unlink(missing_ok=True)
    for replaced in replaced_books(book)[BEFORE_KEPT:]:
        replaced.file.unlink(missing_ok=True)
    return made


def back_up_if_due(desk: Desk) -> Backup | None:
    """Makes a backup where the last one is a day old; None where none is due, or the book is no file."""
    if desk.store.path is None or not is_due([one.at for one in backups_of(desk.store.path)], desk.clock()):
        return None
    return back_up(desk)


def start_anew(desk: Desk) -> tuple[int, Backup]:
    """Makes one backup of the book as it is, and deletes every older one; says how many went."""
    older = (*backups_of(_file_of(desk)), *replaced_books(_file_of(desk)))
    fresh = _kept_now(desk.store, _file_of(desk), desk.clock())
    gone = [one for one in older if one.file != fresh.file]
    for one in gone:
        one.file.unlink(missing_ok=True)
    for damaged in backups_folder(_file_of(desk)).glob("damaged-*"):
        damaged.unlink(missing_ok=True)
    return len(gone), fresh


def restore(book: Path, which: str, *, clock: Callable[[], datetime]) -> Restored:
    """Makes a book what a backup holds: a file, or the name of one of its automatic backups, or "latest".

    The backup is looked through before anything is touched, and the book that is there is
    kept as a backup. A child who was erased since stays erased, a film that was deleted
    since stays deleted. Raises BookFileError with what to do.
    """
    book = book.expanduser().absolute()
    backup = _named(book, which)
    looked_through(backup)
    known, kept = _put_aside(book, clock())
    if not known:
        known = _erasures_in_backups(book)
    found = put_back(backup, book, mark=MARK)
    store = open_book(book, create=False)
    try:
        again = _erase_again(store, known)
        films = _drop_films_without_files(store, book, clock())
        store.tidy()
    finally:
        store.close()
    return Restored(book, backup, found.rows, kept, again, films)


def _file_of(desk: Desk) -> Path:
    if desk.store.path is None:
        raise BookFileError(
            "A book that is no file is backed up by the server that holds it",
            todo="use that server's own tools",
        )
    return desk.store.path


def _kept_now(store: Store, book: Path, at: datetime, *, prefix: str = "") -> Backup:
    folder = backups_folder(book)
    try:
        folder.mkdir(mode=0o700, exist_ok=True)
    except OSError as error:
        raise BookFileError(
            f"No folder for backups can be made at {folder} ({error.strerror})",
            todo="allow writing beside the book",
        ) from error
    file = store.backup(folder / (prefix + at.astimezone(UTC).strftime(_NAME)))
    return Backup(file, at.replace(microsecond=0), file.stat().st_size)


def _named(book: Path, which: str) -> Path:
    known = backups_of(book)
    if which == "latest":
        if not known:
            raise BookFileError(f"There is no backup of {book} yet", todo="name the file of a copy")
        return known[0].file
    for one in (*known, *replaced_books(book)):
        if which in (one.file.name, one.file.stem):
            return one.file
    file = Path(which).expanduser()
    if not file.is_file():
        names = ", ".join(one.file.stem for one in known[:3]) or "none"
        raise BookFileError(
            f"There is no backup {which} (the latest automatic ones: {names})",
            todo="see `loftbook book backups`, or name a file",
        )
    return file.absolute()


def _put_aside(book: Path, now: datetime) -> tuple[tuple[erasing.ErasedOnce, ...], Path | None]:
    """What the book that is there knows of erasures, and where it is kept."""
    if not book.exists():
        return (), None
    try:
        store = open_book(book, create=False)
    except LoftbookError:
        return (), _keep_damaged(book, now)
    try:
        with store.read() as connection:
            known = erasing.erasures(connection)
        return known, _kept_now(store, book, now, prefix=_BEFORE).file
    except LoftbookError:
        return (), _keep_damaged(book, now)
    finally:
        store.close()


def _keep_damaged(book: Path, now: datetime) -> Path:
    """A book that cannot be read is kept byte for byte; where it cannot be kept it is not replaced either."""
    folder = backups_folder(book)
    kept = folder / ("damaged-" + now.astimezone(UTC).strftime(_NAME))
    try:
        folder.mkdir(mode=0o700, exist_ok=True)
        kept.write_bytes(book.read_bytes())
    except OSError as error:
        kept.unlink(missing_ok=True)
        raise BookFileError(
            f"The book that is there cannot be kept in {folder} ({error.strerror}), so nothing was restored",
            todo="free some space, or move the book away yourself, then restore again",
        ) from error
    return kept


def _erasures_in_backups(book: Path) -> tuple[erasing.ErasedOnce, ...]:
    """Who was erased as the newest backup that can be read knows it, where the book itself cannot say."""
    for one in backups_of(book):
        try:
            return erasures_in(one.file)
        except LoftbookError:
            continue
    return ()


def _erase_again(store: Store, known: tuple[erasing.ErasedOnce, ...]) -> int:
    with store.write() as connection:
        before = {one.digest: one for one in (*known, *erasing.erasures(connection))}
        everyone = people.athletes(connection)
        hers = [one for one in everyone if erasing.fingerprint(one.id) in before]
        for one in hers:
            forget_child(connection, one.id)
        erasing.add_erasures(connection, known)
    return len(hers)


def _drop_films_without_files(store: Store, book: Path, now: datetime) -> int:
    folder = film_folder_of(book)
    with store.write() as connection:
        lost = [film for film in clips.clips(connection) if not (folder / str(film.id)).is_dir()]
        for film in lost:
            why = "its file was gone when a backup was restored"
            clips.forget_clip(connection, FilmGone(film.id, film.attempt, now, "Loftbook", why))
    return len(lost)
