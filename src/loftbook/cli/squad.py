"""`loftbook squad`: import a roster, list the squad, count all camps together."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from loftbook.cli.options import Book, Json, LadderFile
from loftbook.cli.options import answer as say
from loftbook.cli.typed import Answers, DryRun, SaveTo, Sheet, tell, typed_list

if TYPE_CHECKING:
    from loftbook.insight.federation import FederationInventory

app = typer.Typer(help="The squad: who is in the book.", no_args_is_help=True)


@app.command("import")
def import_(
    file: Annotated[Path, typer.Argument(help="A roster, CSV or XLSX")],
    answer: Answers = None,
    sheet: Sheet = "",
    as_of: Annotated[
        datetime | None,
        typer.Option(formats=["%Y-%m-%d"], help="The day on which the roster was true; dates its heights."),
    ] = None,
    which: Annotated[
        str | None, typer.Option("--camp", help="Everybody on the roster is expected at this camp.")
    ] = None,
    dry_run: DryRun = False,
    report: SaveTo = None,
    book: Book = None,
    ladder: LadderFile = None,
    as_json: Json = False,
) -> None:
    """Reads a roster; asks or refuses row by row, never guesses silently."""
    from loftbook.desk.importing import read_roster_file
    from loftbook.desk.opening import open_desk, open_desk_to_try
    from loftbook.desk.people import find_camp

    typed = typed_list(file, said=answer, report=report)
    desk = open_desk_to_try(book, ladder) if dry_run else open_desk(book, ladder_file=ladder)
    said = read_roster_file(
        desk,
        typed.data,
        typed.name,
        answers=typed.answers,
        sheet=sheet,
        as_of=as_of.date() if as_of else None,
        camp=find_camp(desk, which).id if which else None,
        write=not dry_run,
    )
    tell(said, save_to=report, written=not dry_run, as_json=as_json)


@app.command()
def show(book: Book = None, ladder: LadderFile = None, as_json: Json = False) -> None:
    """Lists the squad with her last camp and where she stood."""
    from loftbook.cli.words import squad_lines
    from loftbook.desk.answers import squad_answer
    from loftbook.desk.opening import open_desk

    found = squad_answer(open_desk(book, ladder_file=ladder, create=False))
    say(found, squad_lines(found), as_json=as_json)


@app.command()
def counts(book: Book = None, ladder: LadderFile = None, as_json: Json = False) -> None:
    """Counts all camps of the book together, rung by rung and year by year, and names nobody."""
    from loftbook.desk.answers import federation_answer
    from loftbook.desk.opening import open_desk

    found = federation_answer(open_desk(book, ladder_file=ladder, create=False))
    say(found, _counts(found), as_json=as_json)


def _counts(found: FederationInventory) -> Iterator[str]:
    yield f"{found.gymnasts} gymnasts at {found.camps} camps. Each of them once, at the last camp she came to:"
    for one in found.now:
        yield f"  {one.rung:28} {one.sentence}"
    yield ""
    yield "Each gymnast at each camp, so one who came twice in a year counts twice: alone of those who showed it"
    for year in found.years:
        yield f"  {year.year}  {year.rung:28} {year.alone} of {year.shown}"
