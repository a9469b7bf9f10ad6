"""`loftbook book merge`: a laptop's book comes into this one."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from loftbook.cli.options import Book, Json, LadderFile
from loftbook.cli.options import answer as say

if TYPE_CHECKING:
    from loftbook.desk.merging.told import Merged


def merge(
    other: Annotated[Path, typer.Argument(help="The file of the other book; it is read, never changed")],
    said: Annotated[
        list[str] | None, typer.Option("--answer", help="An answer to a question: ID=CHOICE")
    ] = None,
    answers: Annotated[
        Path | None,
        typer.Option("--answers", help="A file with such answers, one a line; # begins a remark."),
    ] = None,
    dry_run: Annotated[
        bool, typer.Option("--dry-run", "--plan", help="Say what would happen, write nothing.")
    ] = False,
    films: Annotated[bool, typer.Option("--films", help="Copy the files of its films too.")] = False,
    book: Book = None,
    ladder: LadderFile = None,
    as_json: Json = False,
) -> None:
    """Takes another book's facts into this one: nothing twice, nothing overwritten, what is unclear is asked."""
    from loftbook.desk.files import file_bytes
    from loftbook.desk.importing import answers_from, answers_of_file
    from loftbook.desk.merging.merge import merge_book
    from loftbook.desk.opening import open_desk

    told = answers_of_file(file_bytes(answers)) if answers else {}
    told |= answers_from(said or ())
    desk = open_desk(book, ladder_file=ladder, create=False)
    found = merge_book(desk, other, answers=told, write=not dry_run, films=films)
    say(found.as_dict(), _lines(found), as_json=as_json)


def _lines(found: Merged) -> Iterator[str]:
    yield f"The book {found.name}"
    for part in found.parts:
        yield f"  {part.sentence}"
    yield from (f"  {note}" for note in found.notes)
    if not found.written:
        yield "Nothing was written, as you asked (--dry-run)."
    elif found.has_news:
        yield "What is settled is in the book. What contradicts it waits under “To be settled” of its camp."
    else:
        yield "Nothing new was written."
    for question in found.questions:
        yield f"{question.id}: {question.sentence}"
        yield from (f"    {choice.key}: {choice.label}" for choice in question.choices)
    if found.questions:
        yield f'{len(found.questions)} to answer: merge again with --answer "ID=CHOICE".'
