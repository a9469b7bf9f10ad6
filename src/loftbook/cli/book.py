"""`loftbook book`: where the book lies, backups and the way back, findings made anew."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from loftbook.cli.coaches import app as coaches
from loftbook.cli.merging import merge
from loftbook.cli.options import Book, Json, LadderFile
from loftbook.cli.options import answer as say

app = typer.Typer(help="The book file itself.", no_args_is_help=True)
app.command()(merge)
app.add_typer(coaches, name="coach")


@app.command()
def backup(
    to: Annotated[
        Path | None,
        typer.Argument(help="The file to write; default: one more automatic backup beside the book"),
    ] = None,
    seal: Annotated[
        bool, typer.Option("--seal", help="Encrypt the copy with a pass phrase, typed twice.")
    ] = False,
    book: Book = None,
    as_json: Json = False,
) -> None:
    """Writes a copy of the book while it may be in use; every page is checked and every row counted."""
    from loftbook.desk.opening import open_desk
    from loftbook.desk.privacy.copies import back_up_to

    desk = open_desk(book, create=False, any_ladder=True)
    typed = typer.prompt("Pass phrase of the copy", hide_input=True, confirmation_prompt=True) if seal else ""
    copy = back_up_to(desk, to, phrase=typed)
    say({"copy": str(copy)}, [f"Copied and checked: {copy}"], as_json=as_json)


@app.command()
def backups(book: Book = None, as_json: Json = False) -> None:
    """Lists the automatic backups, the newest first."""
    from loftbook.book.rotation import Rotation
    from loftbook.desk.privacy.copies import listed

    found = listed(book)
    lines = [f"{one.file.stem}  {one.size / 1e6:.1f} MB" for one in found]
    say(
        {"backups": found, "kept": Rotation().words},
        lines or ["None yet. `loftbook serve` makes one a day, `loftbook book backup` one now."],
        as_json=as_json,
    )


@app.command()
def restore(
    which: Annotated[str, typer.Argument(help="A backup by its name, a file, or: latest")],
    book: Book = None,
    as_json: Json = False,
) -> None:
    """Makes the book what a backup holds; the book that is there is kept as a backup of its own."""
    from loftbook.desk.privacy.copies import restore_from, restored_lines
    from loftbook.desk.privacy.sealing import is_sealed

    typed = typer.prompt("Pass phrase of the copy", hide_input=True) if is_sealed(Path(which)) else ""
    found = restore_from(book, which, phrase=typed)
    say(found, restored_lines(found), as_json=as_json)


@app.command()
def tidy(book: Book = None, as_json: Json = False) -> None:
    """Writes the file anew without a trace of what was deleted, and empties its log."""
    from loftbook.desk.opening import open_desk
    from loftbook.desk.privacy.copies import tidy_up

    left = tidy_up(open_desk(book, create=False, any_ladder=True))
    say(
        {"left": left},
        left or ["Done: nothing of what was deleted is left in the file or its log."],
        as_json=as_json,
    )


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
