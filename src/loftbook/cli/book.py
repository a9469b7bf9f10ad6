"""`loftbook book`: where the book lies, a backup, findings made anew."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from loftbook.cli.options import Book, LadderFile

app = typer.Typer(help="The book file itself.", no_args_is_help=True)


@app.command()
def backup(to: Annotated[Path, typer.Argument(help="The file to write")], book: Book = None) -> None:
    """Writes a checked copy of the book while it may be in use."""
    from loftbook.desk.opening import open_desk

    typer.echo(f"Copied and checked: {open_desk(book).store.backup(to)}")


@app.command()
def remake(book: Book = None, ladder: LadderFile = None) -> None:
    """Throws all findings away and makes them again from the facts."""
    from loftbook.desk.opening import open_desk
    from loftbook.desk.standing import remake_all

    typer.echo(f"{remake_all(open_desk(book, ladder_file=ladder))} standings made from the facts.")


@app.command()
def where(book: Book = None) -> None:
    """Says where the book lies."""
    from loftbook.desk.opening import default_book

    typer.echo(str(book or default_book()))
