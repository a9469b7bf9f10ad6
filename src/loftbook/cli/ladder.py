"""`loftbook ladder`: show the ladder, copy it for editing, check an edited one."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from loftbook.cli.options import Book, Json, LadderFile
from loftbook.cli.options import answer as say
from loftbook.errors import LoftbookError

app = typer.Typer(help="The ladder: rungs, standards, drills.", no_args_is_help=True)


@app.command()
def show(book: Book = None, ladder: LadderFile = None, as_json: Json = False) -> None:
    """Lists the rungs of the ladder in use, with their standards."""
    from loftbook.cli.ladder_words import ladder_lines
    from loftbook.desk.opening import difficulty_beside, open_ladder

    found = open_ladder(ladder, book=book)
    points = difficulty_beside(found)
    told = {**vars(found), "difficulty": points} if points else found
    say(told, ladder_lines(found, points), as_json=as_json)


@app.command()
def copy(
    file: Annotated[Path, typer.Argument(help="Where to write the copy, such as my-ladder.toml")],
    shipped: Annotated[
        bool, typer.Option("--shipped", help="The one that comes with Loftbook, whatever the book uses.")
    ] = False,
    book: Book = None,
    as_json: Json = False,
) -> None:
    """Writes the ladder in use as a text file that you can edit."""
    from loftbook.desk.files import write_file
    from loftbook.desk.opening import ladder_text, ladder_to_edit

    if file.exists():
        raise LoftbookError(
            f"{file}, which is there already", "a new file", "name another one; what you edited stays"
        )
    write_file(file, (ladder_text() if shipped else ladder_to_edit(book)).encode())
    lines = [
        f"Written to {file}. Edit it, give it an edition of its own, and name it once with --ladder {file}: "
        "the book keeps it from the next result or camp on."
    ]
    say({"ladder": str(file)}, lines, as_json=as_json)


@app.command()
def check(file: Annotated[Path, typer.Argument(help="The ladder file")], as_json: Json = False) -> None:
    """Reads an edited ladder; a mistake names its line and what to do."""
    from loftbook.desk.opening import open_ladder

    found = open_ladder(file)
    line = (
        f"{found.name}, edition {found.edition}: {len(found.rungs)} rungs, {len(found.drills)} drills. "
        "No mistakes found."
    )
    sizes = {"rungs": len(found.rungs), "drills": len(found.drills)}
    say({"name": found.name, "edition": found.edition, **sizes}, [line], as_json=as_json)
