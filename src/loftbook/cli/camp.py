"""`loftbook camp`: import a typed camp list, make a camp, show it, save its lists."""

from __future__ import annotations

from datetime import date, datetime
from pathlib import Path
from typing import Annotated
from uuid import UUID

import typer

from loftbook.cli.options import Book, Json, LadderFile, file_bytes, print_json, write_file
from loftbook.cli.squad import Answers

app = typer.Typer(help="The camps: lists, patterns, changes.", no_args_is_help=True)
Which = Annotated[
    str | None, typer.Option("--camp", help="The camp's name or a day of it; default: the latest")
]


@app.command("import")
def import_(
    file: Annotated[Path, typer.Argument(help="A camp list, CSV or XLSX")],
    which: Which = None,
    answer: Answers = None,
    dry_run: Annotated[bool, typer.Option("--dry-run", help="Say what would happen, write nothing.")] = False,
    report: Annotated[Path | None, typer.Option(help="Save the report to this file (Markdown).")] = None,
    book: Book = None,
    ladder: LadderFile = None,
    as_json: Json = False,
) -> None:
    """Reads a camp list; the camp is made from the titles above the header unless --camp names one."""
    from loftbook.desk.importing import answers_from, read_camp_file
    from loftbook.desk.opening import open_desk
    from loftbook.desk.people import find_camp

    desk = open_desk(book, ladder_file=ladder)
    camp = find_camp(desk, which).id if which else None
    said = read_camp_file(
        desk, file_bytes(file), file.name, camp=camp, answers=answers_from(answer or ()), write=not dry_run
    )
    if report is not None:
        write_file(report, said.as_markdown().encode())
    if as_json:
        print_json(said.as_dict())
    else:
        typer.echo(said.as_markdown())


@app.command()
def new(
    name: Annotated[str, typer.Argument(help="What the camp is called")],
    starts: Annotated[datetime, typer.Option(formats=["%Y-%m-%d"], help="First day")],
    ends: Annotated[datetime | None, typer.Option(formats=["%Y-%m-%d"], help="Last day")] = None,
    place: Annotated[str, typer.Option(help="The hall")] = "",
    bed: Annotated[str, typer.Option(help="The bed's own name")] = "",
    book: Book = None,
) -> None:
    """Makes a camp."""
    from loftbook.book.people import Camp
    from loftbook.desk.opening import open_desk
    from loftbook.desk.people import make_camp

    first: date = starts.date()
    last: date = ends.date() if ends else first
    desk = open_desk(book)
    camp = make_camp(desk, Camp(UUID(int=0), name, first, last, desk.ladder.edition, place=place, bed=bed))
    typer.echo(f"Made {camp.name}, {camp.starts} to {camp.ends}.")


@app.command()
def show(which: Which = None, book: Book = None, ladder: LadderFile = None, as_json: Json = False) -> None:
    """Shows a camp: who did what, patterns, changes, more or fewer than expected."""
    from loftbook.cli.words import camp_lines
    from loftbook.desk.answers import camp_answer
    from loftbook.desk.opening import open_desk
    from loftbook.desk.people import find_camp

    desk = open_desk(book, ladder_file=ladder)
    answer = camp_answer(desk, find_camp(desk, which).id)
    if as_json:
        print_json(answer)
    else:
        typer.echo("\n".join(camp_lines(answer)))


@app.command()
def lists(
    to: Annotated[Path, typer.Option(help="The folder to write to")] = Path("lists"),
    which: Which = None,
    form: Annotated[str, typer.Option(help="csv or xlsx")] = "csv",
    book: Book = None,
    ladder: LadderFile = None,
) -> None:
    """Saves every list of a camp as CSV or XLSX."""
    from loftbook.desk.exporting import all_lists, in_form
    from loftbook.desk.opening import open_desk
    from loftbook.desk.people import find_camp

    desk = open_desk(book, ladder_file=ladder)
    for table in all_lists(desk, find_camp(desk, which).id).values():
        file = to / f"{table.name}.{form}"
        write_file(file, in_form(table, form))
        typer.echo(f"{file}  ({len(table.rows)} rows)")
