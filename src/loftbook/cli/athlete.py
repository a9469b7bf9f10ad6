"""`loftbook athlete show NAME`: her rungs over the camps."""

from __future__ import annotations

from typing import Annotated

import typer

from loftbook.cli.options import Book, Json, LadderFile
from loftbook.cli.options import answer as say

app = typer.Typer(help="One gymnast.", no_args_is_help=True)


@app.command()
def show(
    name: Annotated[str, typer.Argument(help="Her name, either order, or her id")],
    book: Book = None,
    ladder: LadderFile = None,
    as_json: Json = False,
) -> None:
    """Shows where she stood on each rung at each camp, and what changed."""
    from loftbook.cli.words import athlete_lines
    from loftbook.desk.answers import athlete_answer
    from loftbook.desk.opening import open_desk
    from loftbook.desk.people import find_athlete

    desk = open_desk(book, ladder_file=ladder, create=False)
    found = athlete_answer(desk, find_athlete(desk, name).id)
    say(found, athlete_lines(found), as_json=as_json)
