"""The demo's folder: its book made anew, and nothing of anybody else's written over."""

from __future__ import annotations

import shutil
from collections.abc import Callable
from datetime import datetime
from pathlib import Path

from loftbook.desk import Desk
from loftbook.desk.film.places import film_folder_of
from loftbook.desk.opening import open_desk
from loftbook.desk.people import all_athletes, all_camps
from loftbook.errors import BookFileError, LoftbookError

BOOK = "demo.book"
FILES = ("roster.csv", "roster-report.md", "camp-1.csv", "camp-1-report.md", "camp-2.csv", "camp-2-report.md")


def empty_book(folder: Path, clock: Callable[[], datetime]) -> Desk:
    """A new demo book in the folder, in place of an earlier one.

    A book there that holds anybody or any camp that is not invented is left alone with
    a sentence, and so are files of these names that no demo wrote.
    """
    file = folder / BOOK
    if file.exists():
        _must_be_invented(file, clock)
        for part in (file, *(file.with_name(file.name + end) for end in ("-wal", "-shm"))):
            part.unlink(missing_ok=True)
        shutil.rmtree(film_folder_of(file), ignore_errors=True)
    else:
        _must_be_free(folder)
    _make(folder)
    return open_desk(file, clock=clock)


def _must_be_invented(file: Path, clock: Callable[[], datetime]) -> None:
    desk = open_desk(file, clock=clock)
    people = sum(not one.invented for one in all_athletes(desk))
    camps = sum(not one.invented for one in all_camps(desk))
    desk.store.close()
    if people or camps:
        raise BookFileError(
            f"{file.name} with {people} people and {camps} camps that are not invented",
            "a demo book",
            "choose another folder with --to",
        )


def _must_be_free(folder: Path) -> None:
    there = [name for name in FILES if (folder / name).exists()]
    if there:
        raise LoftbookError(
            f"{', '.join(there)} in {folder}, where no demo was made yet",
            "a folder without files of these names",
            "choose another folder with --to; nothing was written",
        )


def _make(folder: Path) -> None:
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise LoftbookError(
            f"no way to make the folder {folder} ({error.strerror})",
            "a folder you may write to",
            "choose another with --to",
        ) from error
