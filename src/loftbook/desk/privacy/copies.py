"""Copies of the book as a person asks for them: one taken along, one put back, a file without traces."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from tempfile import TemporaryDirectory

from loftbook.desk import Desk
from loftbook.desk.files import copy_book, write_file
from loftbook.desk.opening import default_book, utc_now
from loftbook.desk.privacy.backups import Backup, Restored, back_up, backups_of, replaced_books, restore
from loftbook.desk.privacy.leaving import Leaving, written
from loftbook.desk.privacy.sealing import is_sealed, sealed, unsealed
from loftbook.errors import BookFileError, Refused
from loftbook.store.server import is_address
from loftbook.store.upkeep import compact


def back_up_to(desk: Desk, to: Path | None = None, *, phrase: str = "") -> Path:
    """A checked copy at a place that somebody names, noted as having left; or one more automatic backup.

    With a phrase the copy is sealed.
    """
    if to is None:
        if phrase:
            raise Refused("no file to seal", "a copy to take along", "name the file to write")
        return back_up(desk).file
    copy = _sealed_copy(desk, to, phrase) if phrase else copy_book(desk, to)
    written(desk, Leaving("backup of the whole book", "whoever keeps it", everybody=True), copy)
    return copy


def _sealed_copy(desk: Desk, to: Path, phrase: str) -> Path:
    with TemporaryDirectory(dir=to.parent if to.parent.is_dir() else None, prefix=".seal") as folder:
        data = sealed(copy_book(desk, Path(folder) / "copy.book").read_bytes(), phrase)
        draft = Path(folder) / "sealed"
        write_file(draft, data)
        if unsealed(draft.read_bytes(), phrase)[:16] != b"SQLite format 3\x00":
            raise BookFileError("The sealed copy cannot be opened again", todo="back up again")
        draft.replace(to)
    return to.absolute()


def restore_from(book: str | Path | None, which: str, *, phrase: str = "") -> Restored:
    """Makes the book what a backup holds; a sealed copy is opened with its phrase first."""
    place, file = file_of_book(book), Path(which).expanduser()
    if not is_sealed(file):
        return restore(place, which, clock=utc_now)
    with TemporaryDirectory(dir=place.expanduser().absolute().parent, prefix=".open") as folder:
        opened = Path(folder) / file.name
        write_file(opened, unsealed(file.read_bytes(), phrase))
        return restore(place, str(opened), clock=utc_now)


def file_of_book(book: str | Path | None) -> Path:
    """The file of the book that is meant; raises BookFileError for one on a server."""
    place = default_book() if book is None else book
    if is_address(place):
        raise BookFileError(
            "A book on a server is backed up and restored by that server's own tools",
            todo="use pg_dump and pg_restore",
        )
    return Path(place)


def listed(book: str | Path | None) -> tuple[Backup, ...]:
    """The automatic backups of a book, the newest first, then the books that restores replaced.

    Raises BookFileError where there is no such book.
    """
    file = file_of_book(book).expanduser().absolute()
    if not file.exists() and not backups_of(file):
        raise BookFileError(f"There is no book at {file}", todo="check the name, or import a roster first")
    return (*backups_of(file), *replaced_books(file))


def restored_lines(found: Restored) -> Iterator[str]:
    """What a restore did, for people."""
    yield f"{found.book} is now what {found.backup.name} holds: {sum(found.rows.values())} rows, all looked through."
    if found.kept:
        yield f"The book that was there is kept: {found.kept}"
    if found.erased_again:
        yield f"{found.erased_again} who had been erased since stayed erased."
    if found.films_gone:
        yield f"{found.films_gone} films that were deleted since stayed deleted."


def tidy_up(desk: Desk) -> tuple[str, ...]:
    """Leaves nothing of what was deleted in the book's file and log; sentences about what could not be done."""
    return compact(desk.store)
