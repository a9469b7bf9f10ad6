"""The only place where a Desk is put together: which book, which ladder, which clock."""

from __future__ import annotations

import os
from collections.abc import Callable
from datetime import UTC, datetime
from pathlib import Path

import platformdirs

from loftbook.desk import Desk
from loftbook.desk.editions import ladder_of
from loftbook.errors import BookFileError, LadderError
from loftbook.ladder.rungs import Ladder
from loftbook.ladder.shipped import shipped_text
from loftbook.store.database import open_book


def utc_now() -> datetime:
    """The time now, in UTC."""
    return datetime.now(UTC)


def default_book() -> Path:
    """Where the book lies unless `--book` or LOFTBOOK_BOOK names another file."""
    named = os.environ.get("LOFTBOOK_BOOK")
    return Path(named) if named else Path(platformdirs.user_data_dir("loftbook")) / "camp.book"


def open_desk(
    book: str | Path | None = None,
    *,
    clock: Callable[[], datetime] = utc_now,
    ladder_file: Path | None = None,
) -> Desk:
    """The desk for a book file, which is made if it is not there yet.

    `ladder_file` names the coach's own ladder; without it the shipped one is used.
    Raises BookFileError or LadderError with a sentence.
    """
    target = Path(book) if book is not None and book != ":memory:" else book
    if target is None:
        target = default_book()
        _make_folder(target.parent)
    text = ladder_text(ladder_file)
    return Desk(store=open_book(target), ladder=ladder_of(text), clock=clock, ladder_text=text)


def _make_folder(folder: Path) -> None:
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise BookFileError(
            f"no way to make the folder {folder} for the book ({error.strerror})",
            "a folder you may write to",
            "name the book with --book FILE, or in LOFTBOOK_BOOK",
        ) from error


def open_ladder(file: Path | None = None) -> Ladder:
    """The coach's own ladder file, or the shipped ladder."""
    return ladder_of(ladder_text(file))


def ladder_text(file: Path | None = None) -> str:
    """The text of the coach's own ladder file, or of the shipped one, for copying and editing."""
    if file is None:
        return shipped_text()
    try:
        return file.read_text(encoding="utf-8")
    except OSError as error:
        raise LadderError(
            f"no ladder file that can be read at {file} ({error.strerror})",
            "a TOML file",
            "write one with `loftbook ladder copy FILE` and edit it",
        ) from error
    except UnicodeDecodeError as error:
        raise LadderError(
            f"a ladder file {file} that is not UTF-8 text", "UTF-8", "save it again as UTF-8 in your editor"
        ) from error
