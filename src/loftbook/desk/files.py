"""Read a list that somebody typed, write a paper, copy the book: every trouble with a file is a sentence."""

from __future__ import annotations

from pathlib import Path

from loftbook.desk import Desk
from loftbook.errors import LoftbookError

MOST_BYTES = 32_000_000  # of a typed list


def file_bytes(file: Path, *, most: int = MOST_BYTES) -> bytes:
    """The bytes of a list, or a sentence why they cannot be read; never more than `most`."""
    try:
        with file.open("rb") as opened:
            data = opened.read(most + 1)
    except OSError as error:
        why = "it is a folder" if file.is_dir() else error.strerror
        raise LoftbookError(
            f"no file that can be read at {file} ({why})", "a CSV or XLSX file", "check the name"
        ) from error
    if len(data) > most:
        raise LoftbookError(
            f"{file.name}, which has more than {most // 1_000_000} MB",
            f"a list of at most {most // 1_000_000} MB",
            "save only the sheet with the list, without pictures",
        )
    return data


def write_file(file: Path, data: bytes, *, option: str = "--to") -> None:
    """Writes bytes to a file, makes its folder where it is missing, or says in a sentence why not.

    `option` is the one by which whoever asked names the place.
    """
    try:
        file.parent.mkdir(parents=True, exist_ok=True)
        file.write_bytes(data)
    except OSError as error:
        raise LoftbookError(
            f"no way to write {file} ({error.strerror})",
            "a folder you may write to",
            f"choose another with {option}",
        ) from error


def copy_book(desk: Desk, to: Path) -> Path:
    """Writes a checked copy of the book while it may be in use, and answers where it lies."""
    return desk.store.backup(to)
