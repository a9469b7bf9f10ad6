"""What both imports do with the report on a typed list: save it, show it, say what became of it."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Annotated

import typer

from loftbook.book.typed.report import ListReport
from loftbook.cli.options import answer
from loftbook.desk.files import write_file
from loftbook.errors import LoftbookError

Answers = Annotated[
    list[str] | None, typer.Option("--answer", help="An answer to a question of the report: ID=CHOICE")
]
Sheet = Annotated[
    str, typer.Option("--sheet", help="The sheet of a spreadsheet; default: what looks most like a list.")
]
DryRun = Annotated[bool, typer.Option("--dry-run", help="Say what would happen, write nothing.")]
SaveTo = Annotated[Path | None, typer.Option("--report", help="Save the report to this file (Markdown).")]


@dataclass(frozen=True)
class TypedList:
    """A list as it was named on the command line: its bytes, its name, and the answers given."""

    data: bytes
    name: str
    answers: dict[str, str]


def typed_list(file: Path, *, said: list[str] | None, report: Path | None) -> TypedList:
    """Opens a list with its answers; refuses to save the report over the list that it is about."""
    from loftbook.desk.files import file_bytes
    from loftbook.desk.importing import answers_from

    _not_over_the_list(report, file)
    return TypedList(file_bytes(file), file.name, answers_from(said or ()))


def _not_over_the_list(report: Path | None, file: Path) -> None:
    if report is not None and report.resolve() == file.resolve():
        raise LoftbookError(
            f"{report.name} as the file for the report, which is the list itself",
            "another file",
            "name one that ends in .md",
        )


def tell(said: ListReport, *, save_to: Path | None, written: bool, as_json: bool) -> None:
    """Shows the report, and says whether its facts are in the book."""
    if save_to is not None:
        write_file(save_to, said.as_markdown().encode())
    answer({**said.as_dict(), "written": written}, _lines(said, written=written), as_json=as_json)


def _lines(said: ListReport, *, written: bool) -> Iterator[str]:
    yield said.as_markdown()
    if not written:
        yield "Nothing was written, as you asked (--dry-run)."
    elif said.facts:
        yield "What was taken is in the book."
    else:
        yield "Nothing new was written."
    if said.questions:
        yield f'{len(said.questions)} to answer: read the list again with --answer "ID=CHOICE".'
