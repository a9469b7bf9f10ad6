"""The only place where a Desk is put together: which book, which ladder, which clock."""

from __future__ import annotations

import os
from collections.abc import Callable
from datetime import UTC, datetime
from pathlib import Path

import platformdirs

from loftbook.desk import Desk
from loftbook.desk.editions import ladder_in_use, ladder_of, refuse_edited, text_in_use
from loftbook.errors import BookFileError, LadderError
from loftbook.ladder.difficulty import ShownDifficulty, shown_difficulties
from loftbook.ladder.rungs import Ladder
from loftbook.ladder.shipped import shipped_difficulty, shipped_ladder, shipped_text
from loftbook.store.database import Connection, open_book
from loftbook.store.ladders import ladder_texts
from loftbook.store.server import holds_a_book, is_address, without_password


def utc_now() -> datetime:
    """The time now, in UTC."""
    return datetime.now(UTC)


def default_book() -> str | Path:
    """Where the book lies unless `--book` or LOFTBOOK_BOOK names another file, or an address of a server."""
    named = os.environ.get("LOFTBOOK_BOOK")
    if is_address(named):
        return named
    return Path(named) if named else Path(platformdirs.user_data_dir("loftbook")) / "camp.book"


def where_the_book_is(book: str | Path | None = None) -> str:
    """The file of the book or the server that holds it, as it may be shown: without a password."""
    place = default_book() if book is None else book
    return without_password(place) if is_address(place) else str(place)


def is_there(book: str | Path) -> bool:
    """Whether a book may be opened there: a server is asked only when it is opened."""
    return is_address(book) or Path(book).exists()


def open_desk(
    book: str | Path | None = None,
    *,
    clock: Callable[[], datetime] = utc_now,
    ladder_file: Path | None = None,
    create: bool = True,
    any_ladder: bool = False,
) -> Desk:
    """The desk for a book file, which is made if it is not there yet, unless `create` is False.

    `ladder_file` names the coach's own ladder; without it the one that the book uses is
    taken, else the shipped one. `any_ladder` is for what needs none: a kept ladder that
    can no longer be read is then passed over.
    Raises BookFileError or LadderError with a sentence.
    """
    named = "" if ladder_file is None else _named(ladder_file)
    store = open_book(_place(book, create=create), create=create)
    try:
        with store.read() as connection:
            text, ladder = _ladder(connection, named, any_ladder=any_ladder)
    except BaseException:
        store.close()
        raise
    return Desk(store, ladder, clock, ladder_text=text, ladder_named=bool(named))


def open_desk_to_try(book: str | Path | None = None, ladder_file: Path | None = None) -> Desk:
    """The desk for a try that writes nothing: where there is no book, an empty one in memory."""
    place = default_book() if book is None else book
    there = holds_a_book(place) if is_address(place) else Path(place).exists()
    return open_desk(place if there else ":memory:", ladder_file=ladder_file, create=False)


def _named(file: Path) -> str:
    """The text of a ladder that was named, looked at before a book is touched."""
    text = ladder_text(file)
    ladder_of(text)
    refuse_edited(text)
    return text


def _ladder(connection: Connection, named: str, *, any_ladder: bool) -> tuple[str, Ladder]:
    if named:
        refuse_edited(named, (kept.text for kept in ladder_texts(connection)))
        return named, ladder_of(named)
    try:
        return text_in_use(connection), ladder_in_use(connection)
    except LadderError:
        if any_ladder:
            return shipped_text(), shipped_ladder()
        raise


def _place(book: str | Path | None, *, create: bool) -> str | Path:
    if book is None:
        place = default_book()
        if create and isinstance(place, Path):
            _make_folder(place.parent)
        return place
    return book if book == ":memory:" or is_address(book) else Path(book)


def _make_folder(folder: Path) -> None:
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise BookFileError(
            f"no way to make the folder {folder} for the book ({error.strerror})",
            "a folder you may write to",
            "name the book with --book FILE, or in LOFTBOOK_BOOK",
        ) from error


def open_ladder(file: Path | None = None, *, book: str | Path | None = None) -> Ladder:
    """The coach's own ladder file, or the ladder that a book uses.

    Without a file, and with no book named and none where it usually lies, the shipped one.
    """
    if file is not None:
        return ladder_of(_named(file))
    if book is None and not is_there(default_book()):
        return shipped_ladder()
    desk = open_desk(book, create=False)
    desk.store.close()
    return desk.ladder


def ladder_to_edit(book: str | Path | None = None) -> str:
    """The text of the ladder that a book uses, for copying and editing, even where it can no longer be read."""
    if book is None and not is_there(default_book()):
        return shipped_text()
    store = open_book(_place(book, create=False), create=False)
    try:
        with store.read() as connection:
            return text_in_use(connection)
    finally:
        store.close()


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


def difficulty_beside(ladder: Ladder) -> dict[str, ShownDifficulty]:
    """The competition difficulty beside each rung of a ladder; empty unless the programme switched it on."""
    return shown_difficulties(ladder, shipped_difficulty().trampoline)
