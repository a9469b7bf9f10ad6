"""Options that every noun takes, and the two ways to answer: for people and as JSON."""

from __future__ import annotations

import json
import sys
from pathlib import Path
from typing import Annotated

import typer

from loftbook.errors import LoftbookError

Book = Annotated[
    Path | None,
    typer.Option("--book", help="The book file; default: LOFTBOOK_BOOK, or camp.book in your data folder."),
]
LadderFile = Annotated[
    Path | None, typer.Option("--ladder", help="Your own ladder file; default: the one that is shipped.")
]
Json = Annotated[bool, typer.Option("--json", help="Answer as JSON on standard output.")]


def print_json(value: object) -> None:
    """Writes an answer as JSON; text keeps its accents."""
    from loftbook.desk.plain import as_plain

    json.dump(as_plain(value), sys.stdout, ensure_ascii=False, indent=2)
    sys.stdout.write("\n")


def file_bytes(file: Path, *, most: int = 32 * 1024 * 1024) -> bytes:
    """The bytes of a file, or a sentence why they cannot be read."""
    try:
        size = file.stat().st_size
        if size > most:
            raise LoftbookError(
                f"{file.name} of {size / 1e6:.0f} MB",
                f"a list of at most {most // 1_000_000} MB",
                "save only the sheet with the list",
            )
        return file.read_bytes()
    except OSError as error:
        raise LoftbookError(
            f"no file that can be read at {file} ({error.strerror})", "a CSV or XLSX file", "check the name"
        ) from error


def write_file(file: Path, data: bytes) -> None:
    """Writes bytes to a file, or says in a sentence why not."""
    try:
        file.parent.mkdir(parents=True, exist_ok=True)
        file.write_bytes(data)
    except OSError as error:
        raise LoftbookError(
            f"no way to write {file} ({error.strerror})",
            "a folder you may write to",
            "choose another with --to",
        ) from error
