"""`loftbook privacy`: what was agreed, what is held, what left, a child's own archive, erasure."""

from __future__ import annotations

from datetime import datetime
from pathlib import Path
from typing import Annotated

import typer

from loftbook.cli.options import Book, Json, LadderFile
from loftbook.cli.options import answer as say

app = typer.Typer(
    help="For the children: what was agreed, what is held, what left the machine, erasure.",
    no_args_is_help=True,
)
Name = Annotated[str, typer.Argument(help="Her name, either order, or her id")]


@app.command()
def agree(
    name: Name,
    purpose: Annotated[str, typer.Argument(help="filming, keeping, sharing, home_coach or parent")],
    word: Annotated[str, typer.Argument(help="yes or no; a yes is taken back by a no")],
    said_by: Annotated[str, typer.Option(help="Who may decide for her and said so")],
    by: Annotated[str, typer.Option(help="Who writes it down")],
    until: Annotated[
        datetime | None, typer.Option(formats=["%Y-%m-%d"], help="The last day on which a yes holds")
    ] = None,
    book: Book = None,
    ladder: LadderFile = None,
    as_json: Json = False,
) -> None:
    """Writes down what was agreed about a child, as a dated fact."""
    from loftbook.desk.film.asking import spoken
    from loftbook.desk.film.consenting import record_consent
    from loftbook.desk.opening import open_desk
    from loftbook.desk.people import find_athlete

    desk = open_desk(book, ladder_file=ladder, create=False)
    day = until.date() if until else None
    fact = record_consent(desk, find_athlete(desk, name).id, spoken(purpose, word, said_by, by, day))
    say(fact, [f"Written down: {word} to {fact.purpose.words}, said by {fact.said_by}."], as_json=as_json)


@app.command()
def agreed(name: Name, book: Book = None, ladder: LadderFile = None, as_json: Json = False) -> None:
    """Shows what was agreed about a child: what stands today, and all that was said."""
    from loftbook.desk.opening import open_desk
    from loftbook.desk.people import find_athlete
    from loftbook.desk.privacy.consenting import agreed as of
    from loftbook.desk.privacy.consenting import word_lines

    desk = open_desk(book, ladder_file=ladder, create=False)
    found = of(desk, find_athlete(desk, name).id)
    words = {one.value: word for one, word in found.words.items()}
    say({"words": words, "said": found.said}, word_lines(found), as_json=as_json)


@app.command()
def export(
    name: Name,
    to: Annotated[Path, typer.Option("--to", help="The archive to write (.zip)")],
    book: Book = None,
    ladder: LadderFile = None,
    as_json: Json = False,
) -> None:
    """Writes everything that is held about a child into one archive: rows with their layout, films, letters."""
    from loftbook.desk.opening import open_desk
    from loftbook.desk.people import find_athlete
    from loftbook.desk.privacy.taking import export_to

    desk = open_desk(book, ladder_file=ladder, create=False)
    her = export_to(desk, find_athlete(desk, name).id, to)
    say({"files": [str(to)]}, [f"All about {her.name.full}: {to}"], as_json=as_json)


@app.command()
def erase(
    name: Name,
    typed: Annotated[str, typer.Option("--typed", help="Her whole name once more, so that it is no slip")],
    by: Annotated[str, typer.Option(help="Who erases her; kept as the only name")],
    book: Book = None,
    ladder: LadderFile = None,
    as_json: Json = False,
) -> None:
    """Erases a child for good: rows, films, names in the words of others, backups. Counts stay without her."""
    from loftbook.desk.opening import open_desk
    from loftbook.desk.people import find_athlete
    from loftbook.desk.privacy.erasing import erase_child, erased_lines

    desk = open_desk(book, ladder_file=ladder, create=False)
    done = erase_child(desk, find_athlete(desk, name).id, typed=typed, by=by)
    say(done, erased_lines(done), as_json=as_json)


@app.command()
def log(
    name: Annotated[
        str, typer.Argument(help="Only what is about this child; default: the last 500 lines")
    ] = "",
    book: Book = None,
    ladder: LadderFile = None,
    as_json: Json = False,
) -> None:
    """Lists what left the machine: what, about whom, for whom, when, taken by whom."""
    from loftbook.desk.opening import open_desk
    from loftbook.desk.people import find_athlete
    from loftbook.desk.privacy.leaving import left_the_machine, line_words

    desk = open_desk(book, ladder_file=ladder, create=False)
    found = left_the_machine(desk, find_athlete(desk, name).id if name else None)
    say({"lines": found}, [line_words(one) for one in found] or ["Nothing left yet."], as_json=as_json)


@app.command()
def report(book: Book = None, ladder: LadderFile = None, as_json: Json = False) -> None:
    """Says what is held about children, since when, until when, and what is overdue."""
    from loftbook.desk.opening import open_desk
    from loftbook.desk.privacy.report import retention, retention_lines

    found = retention(open_desk(book, ladder_file=ladder, create=False))
    say(found, retention_lines(found), as_json=as_json)


@app.command()
def expire(book: Book = None, ladder: LadderFile = None, as_json: Json = False) -> None:
    """Deletes what is over (films after their last day, lists that waited too long) and backs up if that is due."""
    from loftbook.desk.opening import open_desk
    from loftbook.desk.privacy.daily import daily_round, round_lines

    done = daily_round(open_desk(book, ladder_file=ladder, create=False))
    say(done, round_lines(done), as_json=as_json)
