"""`loftbook book`: where the book lies, a backup, findings made anew."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from loftbook.cli.merging import merge
from loftbook.cli.options import Book, Json, LadderFile
from loftbook.cli.options import answer as say

app = typer.Typer(help="The book file itself.", no_args_is_help=True)
app.command()(merge)


@app.command()
def backup(
    to: Annotated[Path, typer.Argument(help="The file to write")], book: Book = None, as_json: Json = False
) -> None:
    """Writes a checked copy of the book while it may be in use."""
    from loftbook.desk.files import copy_book
    from loftbook.desk.opening import open_desk

    copy = copy_book(open_desk(book, create=False, any_ladder=True), to)
    say({"copy": str(copy)}, [f"Copied and checked: {copy}"], as_json=as_json)


@app.command()
def remake(book: Book = None, ladder: LadderFile = None, as_json: Json = False) -> None:
    """Throws all findings away and makes them again from the facts."""
    from loftbook.desk.opening import open_desk
    from loftbook.desk.standing import remake_all

    made = remake_all(open_desk(book, ladder_file=ladder, create=False))
    say({"standings": made}, [f"{made} standings made from the facts."], as_json=as_json)


@app.command()
def phrase(
    forget: Annotated[bool, typer.Option("--forget", help="Ask for none any more.")] = False,
    book: Book = None,
) -> None:
    """Sets the pass phrase that the pages ask for, typed twice; or takes it away."""
    from loftbook.desk.devices import set_phrase
    from loftbook.desk.opening import open_desk

    desk = open_desk(book, create=False, any_ladder=True)
    typed = "" if forget else typer.prompt("Pass phrase", hide_input=True, confirmation_prompt=True)
    set_phrase(desk, typed)
    typer.echo("The pages ask for it from now on." if typed else "The pages ask for none.")


@app.command()
def where(book: Book = None, as_json: Json = False) -> None:
    """Says where the book lies."""
    from loftbook.desk.opening import where_the_book_is

    file = where_the_book_is(book)
    say({"book": file}, [file], as_json=as_json)
