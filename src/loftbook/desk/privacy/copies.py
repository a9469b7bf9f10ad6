"""Copies of the book as a person asks for them: one taken along, one put back, a file without traces."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

from loftbook.desk import Desk
from loftbook.desk.files import copy_book
from loftbook.desk.opening import default_book
from loftbook.desk.privacy.backups import Backup, Restored, back_up, backups_of
from loftbook.desk.privacy.leaving import Leaving, written
from loftbook.errors import BookFileError
from loftbook.store.server import is_address
from loftbook.store.upkeep import compact


def back_up_to(desk: Desk, to: Path | None = None) -> Path:
    """A checked copy at a place that somebody names, noted as having left; or one more automatic backup."""
    if to is None:
        return back_up(desk).file
    copy = copy_book(desk, to)
    written(desk, Leaving("backup of the whole book", "whoever keeps it", everybody=True), copy)
    return copy


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
    """The automatic backups of a book, the newest first; raises BookFileError where there is no such book."""
    file = file_of_book(book).expanduser().absolute()
    if not file.exists() and not backups_of(file):
        raise BookFileError(f"There is no book at {file}", todo="check the name, or import a roster first")
    return backups_of(file)


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
