"""`loftbook print`: papers as PDF, one or all of a camp, and the draft of a mail."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from loftbook.cli.options import Book, Json, LadderFile, Which
from loftbook.cli.options import answer as say

if TYPE_CHECKING:
    from uuid import UUID

    from loftbook.desk import Desk

app = typer.Typer(help="Papers as PDF.", no_args_is_help=True)
To = Annotated[Path, typer.Option("--to", help="The folder to write to")]
Paper = Annotated[str, typer.Option(help="a4 or letter")]


@app.command()
def letter(
    name: Annotated[str, typer.Argument(help="Her name or id")],
    to: To = Path("papers"),
    which: Which = None,
    paper: Paper = "a4",
    book: Book = None,
    ladder: LadderFile = None,
    as_json: Json = False,
) -> None:
    """The letter to one home coach."""
    from loftbook.desk.opening import open_desk
    from loftbook.desk.people import find_athlete, find_camp
    from loftbook.desk.printing import file_name, letter_pdf

    desk = open_desk(book, ladder_file=ladder, create=False)
    who = find_athlete(desk, name)
    camp = find_camp(desk, which).id if which else None
    put(desk, to / file_name("letter", who), letter_pdf(desk, who.id, camp, paper=paper), as_json=as_json)


@app.command()
def letters(
    to: To = Path("papers"),
    which: Which = None,
    paper: Paper = "a4",
    book: Book = None,
    ladder: LadderFile = None,
    as_json: Json = False,
) -> None:
    """A letter for each child who was at a camp."""
    from loftbook.desk.opening import open_desk
    from loftbook.desk.people import find_camp
    from loftbook.desk.printing import write_letters

    desk = open_desk(book, ladder_file=ladder, create=False)
    files = write_letters(desk, find_camp(desk, which).id, to, paper=paper)
    say({"files": [str(file) for file in files]}, [f"{len(files)} letters in {to}"], as_json=as_json)


@app.command()
def blank(
    to: To = Path("papers"),
    which: Which = None,
    paper: Paper = "a4",
    book: Book = None,
    ladder: LadderFile = None,
    as_json: Json = False,
) -> None:
    """Sheets to be filled by hand, for when the battery dies."""
    from loftbook.desk.blank_sheets import blank_pdf
    from loftbook.desk.opening import open_desk
    from loftbook.desk.people import find_camp

    desk = open_desk(book, ladder_file=ladder, create=False)
    camp = find_camp(desk, which)
    data = blank_pdf(desk, camp.id, paper=paper)
    put(desk, to / f"blank-sheets-{camp.starts}.pdf", data, camp=camp.id, as_json=as_json)


@app.command()
def lists(
    to: To = Path("papers"),
    which: Which = None,
    paper: Paper = "a4",
    book: Book = None,
    ladder: LadderFile = None,
    as_json: Json = False,
) -> None:
    """The camp's lists: who did what, patterns, changes, expectations."""
    from loftbook.desk.opening import open_desk
    from loftbook.desk.people import find_camp
    from loftbook.desk.printing import camp_lists_pdf

    desk = open_desk(book, ladder_file=ladder, create=False)
    camp = find_camp(desk, which)
    data = camp_lists_pdf(desk, camp.id, paper=paper)
    put(desk, to / f"camp-lists-{camp.starts}.pdf", data, camp=camp.id, as_json=as_json)


@app.command()
def child(
    name: Annotated[str, typer.Argument(help="Her name or id")],
    kind: Annotated[str, typer.Argument(help="letter, parent (the copy) or hers (her own sheet)")],
    to: To = Path("papers"),
    which: Which = None,
    paper: Paper = "a4",
    book: Book = None,
    ladder: LadderFile = None,
    as_json: Json = False,
) -> None:
    """One paper about one child."""
    from loftbook.desk.batch import childs_pdf
    from loftbook.desk.opening import open_desk
    from loftbook.desk.people import find_athlete, find_camp
    from loftbook.desk.printing import file_name

    desk = open_desk(book, ladder_file=ladder, create=False)
    who = find_athlete(desk, name)
    camp = find_camp(desk, which).id if which else None
    put(desk, to / file_name(kind, who), childs_pdf(desk, kind, who.id, camp, paper=paper), as_json=as_json)


@app.command()
def sheet(
    kind: Annotated[str, typer.Argument(help="camp-lists, belt-list, programme-summary or blank-sheets")],
    to: To = Path("papers"),
    which: Which = None,
    paper: Paper = "a4",
    book: Book = None,
    ladder: LadderFile = None,
    as_json: Json = False,
) -> None:
    """One paper of the camp itself."""
    from loftbook.desk.batch import camps_pdf
    from loftbook.desk.opening import open_desk
    from loftbook.desk.people import find_camp

    desk = open_desk(book, ladder_file=ladder, create=False)
    camp = find_camp(desk, which)
    data = camps_pdf(desk, kind, camp.id, paper=paper)
    put(desk, to / f"{kind}-{camp.starts}.pdf", data, camp=camp.id, as_json=as_json)


@app.command(name="all")
def everything(
    to: To = Path("papers"),
    which: Which = None,
    paper: Paper = "a4",
    book: Book = None,
    ladder: LadderFile = None,
    as_json: Json = False,
) -> None:
    """Every paper of a camp: letter, copy for parents and her own sheet for each child, and the camp's own."""
    from loftbook.desk.batch import write_papers
    from loftbook.desk.opening import open_desk
    from loftbook.desk.people import find_camp

    desk = open_desk(book, ladder_file=ladder, create=False)
    files = write_papers(desk, find_camp(desk, which).id, to, paper=paper, told=_told)
    say({"files": [str(file) for file in files]}, [f"{len(files)} papers in {to}"], as_json=as_json)


@app.command()
def mail(
    name: Annotated[str, typer.Argument(help="Her name or id")],
    parent: Annotated[str, typer.Option(help="Address of a parent or guardian; it is kept nowhere")] = "",
    second: Annotated[str, typer.Option(help="Address of a second adult of the programme")] = "",
    to: To = Path("papers"),
    which: Which = None,
    book: Book = None,
    ladder: LadderFile = None,
    as_json: Json = False,
) -> None:
    """The draft of a mail with the letter in it, for a mail program to open. Nothing is sent."""
    from loftbook.desk.files import write_file
    from loftbook.desk.mailing import letter_draft
    from loftbook.desk.opening import open_desk
    from loftbook.desk.people import find_athlete, find_camp
    from loftbook.desk.privacy.leaving import papers_written

    desk = open_desk(book, ladder_file=ladder, create=False)
    camp = find_camp(desk, which).id if which else None
    draft = letter_draft(desk, find_athlete(desk, name).id, camp, parent=parent, second=second)
    write_file(to / draft.name, draft.data)
    papers_written(desk, [to / draft.name])
    told = {"files": [str(to / draft.name)], "to": draft.to, "copied": draft.copied, "missing": draft.missing}
    say(told, [str(to / draft.name), *(f"still to do: {one}" for one in draft.missing)], as_json=as_json)


def _told(done: int, every: int, name: str) -> None:
    """How far it is, on a terminal: one line of the error stream that is written over."""
    if sys.stderr.isatty():
        typer.echo(f"\r{done} of {every}  {name:60.60}", err=True, nl=done == every)


def put(desk: Desk, file: Path, data: bytes, *, camp: UUID | None = None, as_json: bool) -> None:
    """Writes one paper, notes that it left, and says where it lies."""
    from loftbook.desk.files import write_file
    from loftbook.desk.privacy.leaving import papers_written

    write_file(file, data)
    papers_written(desk, [file], camp=camp)
    say({"files": [str(file)]}, [str(file)], as_json=as_json)
