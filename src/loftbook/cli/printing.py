"""`loftbook print`: letters and camp lists as PDF."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from loftbook.cli.options import Book, Json, LadderFile, Which
from loftbook.cli.options import answer as say

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
    _put(to / file_name("letter", who), letter_pdf(desk, who.id, camp, paper=paper), as_json=as_json)


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
    _put(to / f"blank-sheets-{camp.starts}.pdf", blank_pdf(desk, camp.id, paper=paper), as_json=as_json)


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
    _put(to / f"camp-lists-{camp.starts}.pdf", camp_lists_pdf(desk, camp.id, paper=paper), as_json=as_json)


def _put(file: Path, data: bytes, *, as_json: bool) -> None:
    """Writes one paper and says where it lies."""
    from loftbook.desk.files import write_file

    write_file(file, data)
    say({"files": [str(file)]}, [str(file)], as_json=as_json)
