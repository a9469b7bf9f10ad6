"""Options that every noun takes, and the two ways to answer: for people and as JSON."""

from __future__ import annotations

import json
import sys
from collections.abc import Iterable
from pathlib import Path
from typing import Annotated

import typer

Book = Annotated[
    str | None,
    typer.Option(
        "--book",
        metavar="FILE",
        help="The book file, or a federation's postgresql:// address; default: LOFTBOOK_BOOK, or camp.book "
        "in your data folder.",
    ),
]
LadderFile = Annotated[
    Path | None,
    typer.Option(
        "--ladder", help="Your own ladder file; default: the one in use in the book, else the shipped one."
    ),
]
Which = Annotated[
    str | None, typer.Option("--camp", help="The camp's name or a day of it; default: the latest")
]
Json = Annotated[bool, typer.Option("--json", help="Answer as JSON on standard output.")]


def answer(value: object, lines: Iterable[str], *, as_json: bool) -> None:
    """Writes an answer on standard output: the value as JSON, or the lines for people."""
    if as_json:
        print_json(value)
    else:
        typer.echo("\n".join(lines))


def print_json(value: object) -> None:
    """Writes a value as JSON; text keeps its accents where the output can hold them."""
    from loftbook.desk.plain import as_plain

    unicode = (sys.stdout.encoding or "").lower().replace("-", "") == "utf8"
    json.dump(as_plain(value), sys.stdout, ensure_ascii=not unicode, indent=2, allow_nan=False)
    sys.stdout.write("\n")
