"""`loftbook answers`: the form that goes with a letter, and what home coaches wrote back."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from loftbook.cli.options import Book, Json, LadderFile, Which
from loftbook.cli.options import answer as say

if TYPE_CHECKING:
    from loftbook.desk.home_answers import CampFromHome

app = typer.Typer(help="Answers of home coaches between two camps.", no_args_is_help=True)


@app.command()
def form(
    name: Annotated[str, typer.Argument(help="Her name or id")],
    to: Annotated[Path, typer.Option("--to", help="The folder to write to")] = Path("papers"),
    which: Which = None,
    book: Book = None,
    ladder: LadderFile = None,
    as_json: Json = False,
) -> None:
    """Writes the form to her letter: one file for the home coach, who needs no account and no network."""
    from loftbook.cli.printing import put
    from loftbook.desk.home_answers import home_form_file
    from loftbook.desk.opening import open_desk
    from loftbook.desk.people import find_athlete, find_camp

    desk = open_desk(book, ladder_file=ladder, create=False)
    camp = find_camp(desk, which).id if which else None
    file, data = home_form_file(desk, find_athlete(desk, name).id, camp)
    put(desk, to / file, data, as_json=as_json)


@app.command(name="import")
def take_in(
    files: Annotated[
        list[Path], typer.Argument(help="Answers as they came by mail: .json, a saved mail, a text")
    ],
    book: Book = None,
    ladder: LadderFile = None,
    as_json: Json = False,
) -> None:
    """Takes answers in. The same twice changes nothing; one that cannot be read loses no other, and ends with 2."""
    from loftbook.desk.files import file_bytes
    from loftbook.desk.home_answers import Became, take_answers
    from loftbook.desk.opening import open_desk

    desk = open_desk(book, ladder_file=ladder, create=False)
    read = [(file.name, file_bytes(file)) for file in files]
    taken = take_answers(desk, read)
    lines = [
        f"{one.file}: {one.why}" if one.why else f"{one.who}: {one.became.value} ({one.by})" for one in taken
    ]
    say(taken, lines, as_json=as_json)
    if any(one.became is Became.REFUSED for one in taken):
        raise typer.Exit(2)


@app.command()
def show(which: Which = None, book: Book = None, ladder: LadderFile = None, as_json: Json = False) -> None:
    """Shows what came from home before a camp, about those who are expected there."""
    from loftbook.desk.home_answers import camp_from_home
    from loftbook.desk.opening import open_desk
    from loftbook.desk.people import find_camp

    desk = open_desk(book, ladder_file=ladder, create=False)
    found = camp_from_home(desk, find_camp(desk, which).id)
    say(found, _lines(found), as_json=as_json)


def _lines(found: CampFromHome) -> Iterator[str]:
    yield f"From home, before {found.camp.name}: as the home coaches wrote it"
    for who, one in found.answers.items():
        yield f"{found.athletes[who].name.full}, by {one.answer.by} on {one.answer.written:%Y-%m-%d}"
        for item in one.answer.items:
            said = (item.trained.words, item.how_often, item.what, item.problems, item.clip)
            yield f"  {item.title}: {', '.join(part for part in said if part) or 'nothing said'}"
        if one.answer.more:
            yield f"  {one.answer.more}"
    if found.silent:
        yield "No answer: " + ", ".join(found.athletes[who].name.full for who in found.silent)
