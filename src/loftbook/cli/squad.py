"""`loftbook squad`: import a roster, list the squad."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from loftbook.cli.options import Book, Json, LadderFile, file_bytes, print_json, write_file

app = typer.Typer(help="The squad: who is in the book.", no_args_is_help=True)
Answers = Annotated[
    list[str] | None, typer.Option("--answer", help="An answer to a question of the report: ID=CHOICE")
]


@app.command("import")
def import_(
    file: Annotated[Path, typer.Argument(help="A roster, CSV or XLSX")],
    answer: Answers = None,
    dry_run: Annotated[bool, typer.Option("--dry-run", help="Say what would happen, write nothing.")] = False,
    report: Annotated[Path | None, typer.Option(help="Save the report to this file (Markdown).")] = None,
    book: Book = None,
    ladder: LadderFile = None,
    as_json: Json = False,
) -> None:
    """Reads a roster; asks or refuses row by row, never guesses silently."""
    from loftbook.desk.importing import answers_from, read_roster_file
    from loftbook.desk.opening import open_desk

    desk = open_desk(book, ladder_file=ladder)
    said = read_roster_file(
        desk, file_bytes(file), file.name, answers=answers_from(answer or ()), write=not dry_run
    )
    if report is not None:
        write_file(report, said.as_markdown().encode())
    if as_json:
        print_json(said.as_dict())
    else:
        typer.echo(said.as_markdown())


@app.command()
def show(book: Book = None, ladder: LadderFile = None, as_json: Json = False) -> None:
    """Lists the squad with her last camp and where she stood."""
    from loftbook.cli.words import squad_lines
    from loftbook.desk.answers import squad_answer
    from loftbook.desk.opening import open_desk

    answer = squad_answer(open_desk(book, ladder_file=ladder))
    if as_json:
        print_json(answer)
    else:
        typer.echo("\n".join(squad_lines(answer)))
