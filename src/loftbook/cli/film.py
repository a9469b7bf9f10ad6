"""`loftbook film`: measure a film with or without a book, put it with a turn, take the numbers along."""

from __future__ import annotations

from datetime import datetime
from pathlib import Path
from typing import Annotated

import typer

from loftbook.cli.film_words import film_lines, judged_lines, list_lines, measured_lines, watched
from loftbook.cli.options import Book, Json, LadderFile
from loftbook.cli.options import answer as say

app = typer.Typer(
    help="Films: from a phone clip to numbers, and a word where they cannot.", no_args_is_help=True
)

Clip = Annotated[Path, typer.Argument(help="The film’s file")]
At = Annotated[
    str,
    typer.Option(help="A click on her hips: X,Y,FRAME in pixels of the upright picture; default: who flies"),
]
Model = Annotated[str, typer.Option(help="heavy (surest), full or lite (quickest)")]
Eyes = Annotated[
    str,
    typer.Option(
        help="stock (the pose model alone) or both (our own network as well); default: see the guide"
    ),
]
Which = Annotated[str, typer.Argument(help="The film’s id, or how it begins; see `loftbook film list`")]
By = Annotated[str, typer.Option(help="Who puts it there")]
To = Annotated[Path, typer.Option("--to", help="The file to write; its ending says the kind")]


@app.command()
def measure(
    clip: Clip,
    at: At = "",
    model: Model = "heavy",
    eyes: Eyes = "",
    stature: Annotated[float | None, typer.Option(help="Her standing height in metres: 1.43")] = None,
    bed: Annotated[str, typer.Option(help="The bed’s surface: X1,Y1,X2,Y2 in pixels")] = "",
    speed: Annotated[int, typer.Option(help="How many times slower than life it plays: 1, 2, 4 or 8")] = 1,
    out: Annotated[
        Path | None, typer.Option("--out", help="Write the time course: .csv, .parquet, .trc or .c3d")
    ] = None,
    as_json: Json = False,
) -> None:
    """Measures a film where it lies; no book is needed or made."""
    from loftbook.desk.film.asking import bed_of, click_of, given_for
    from loftbook.desk.film.eyes import chosen_model
    from loftbook.desk.film.measuring import measure_file
    from loftbook.desk.film.saving import can_be_saved, save_course
    from loftbook.desk.film.told import file_told

    can_be_saved(out)  # before the long work, not after it
    click, given = click_of(at), given_for(stature=stature, bed=bed_of(bed), speed=speed)
    with watched(clip.name) as progress:
        found = measure_file(clip, at=click, model=chosen_model(model, eyes), given=given, progress=progress)
    if out is not None:
        save_course(found.made.course, out)
    say(file_told(found, clip.name, eyes), measured_lines(found, clip.name, out, eyes), as_json=as_json)


@app.command()
def attach(
    clip: Clip,
    who: Annotated[str, typer.Argument(help="Her name, or the attempt’s id")],
    by: By,
    rung: Annotated[str, typer.Option(help="The rung of the turn; needed where she showed several")] = "",
    camp: Annotated[
        str | None, typer.Option(help="The camp: its first day, name or id; default: the latest")
    ] = None,
    station: Annotated[str, typer.Option(help="The camera’s place; a bed line is drawn once for each")] = "",
    at: At = "",
    model: Model = "heavy",
    eyes: Eyes = "",
    keep_until: Annotated[
        datetime | None, typer.Option(formats=["%Y-%m-%d"], help="The last day it is kept; default: a year")
    ] = None,
    now: Annotated[
        bool, typer.Option("--now/--later", help="Measure at once, or leave it to `serve`")
    ] = True,
    book: Book = None,
    ladder: LadderFile = None,
    as_json: Json = False,
) -> None:
    """Puts a film with a turn, where consent is recorded; its original is kept untouched beside the book."""
    from loftbook.desk.film.asking import click_of
    from loftbook.desk.film.attaching import Sent, attach_file
    from loftbook.desk.film.finding import find_turn
    from loftbook.desk.film.working import work_on
    from loftbook.desk.opening import open_desk

    desk = open_desk(book, ladder_file=ladder, create=False)
    turn = find_turn(desk, who, rung, camp)
    until = keep_until.date() if keep_until else None
    sent = Sent(None, clip.name, by, station, click_of(at), model, until, eyes)
    kept = attach_file(desk, turn.id, clip, sent)
    with watched(clip.name, quiet=not now) as progress:
        line = work_on(desk, kept.clip.id, progress=progress, now=now)
    say(line, film_lines(line, there_already=kept.there_already), as_json=as_json)


@app.command("list")
def list_(book: Book = None, ladder: LadderFile = None, as_json: Json = False) -> None:
    """Lists the films of the book, the newest first."""
    from loftbook.desk.film.answers import films_answer
    from loftbook.desk.opening import open_desk

    found = films_answer(open_desk(book, ladder_file=ladder, create=False))
    say(found, list_lines(found), as_json=as_json)


@app.command()
def show(which: Which, book: Book = None, ladder: LadderFile = None, as_json: Json = False) -> None:
    """Shows what was measured from one film."""
    from loftbook.desk.film.finding import find_film
    from loftbook.desk.opening import open_desk

    line = find_film(open_desk(book, ladder_file=ladder, create=False), which)
    say(line, film_lines(line), as_json=as_json)


@app.command()
def judge(
    folder: Annotated[
        Path | None, typer.Argument(help="Films with NAME.truth.json or NAME.clicks.json beside each")
    ] = None,
    corrected: Annotated[
        bool, typer.Option("--corrected", help="Instead: the frames that were clicked in this book")
    ] = False,
    detectors: Annotated[
        str, typer.Option("--with", help="Some of heavy, full, lite, own, both; default: heavy,lite,own,both")
    ] = "",
    book: Book = None,
    ladder: LadderFile = None,
    as_json: Json = False,
) -> None:
    """Tries the detectors on films whose truth is known, and says whether the combination reached its targets."""
    from loftbook.desk.film.judging import judge_corrected, judge_folder, one_of
    from loftbook.desk.opening import open_desk

    place = one_of(folder, corrected=corrected)
    with watched("detectors") as progress:
        if place is None:
            desk = open_desk(book, ladder_file=ladder, create=False)
            found = judge_corrected(desk, detectors, progress=progress)
        else:
            found = judge_folder(place, detectors, progress=progress)
    say(found.told, judged_lines(found), as_json=as_json)


@app.command()
def remeasure(book: Book = None, ladder: LadderFile = None, as_json: Json = False) -> None:
    """Drops every finding from film and makes all of them again from the facts."""
    from loftbook.desk.film.measuring import remeasure as again
    from loftbook.desk.opening import open_desk

    found = again(open_desk(book, ladder_file=ladder, create=False))
    lines = [f"{len(found)} films", *(f"  {clip}  {word}" for clip, word in found.items())]
    say(found, lines, as_json=as_json)


@app.command()
def export(which: Which, to: To, book: Book = None, ladder: LadderFile = None, as_json: Json = False) -> None:
    """Writes a film’s time course (.csv .parquet .trc .c3d), skeleton film (.mp4) or strip of stills (.png .pdf)."""
    from loftbook.desk.film.finding import find_film
    from loftbook.desk.film.saving import save_of_clip
    from loftbook.desk.opening import open_desk
    from loftbook.desk.privacy.leaving import Leaving, written

    desk = open_desk(book, ladder_file=ladder, create=False)
    film = find_film(desk, which).film.id
    save_of_clip(desk, film, to)
    written(desk, Leaving("film or its numbers", "whoever took it", film=film), to)
    say({"files": [str(to)]}, [str(to)], as_json=as_json)


@app.command()
def consent(
    name: Annotated[str, typer.Argument(help="Her name or id")],
    word: Annotated[str, typer.Argument(help="yes or no")],
    said_by: Annotated[str, typer.Option(help="Who may decide for her and said so")],
    by: Annotated[str, typer.Option(help="Who writes it down")],
    purpose: Annotated[str, typer.Option(help="filming, keeping or sharing")] = "filming",
    until: Annotated[
        datetime | None, typer.Option(formats=["%Y-%m-%d"], help="The last day on which a yes holds")
    ] = None,
    book: Book = None,
    ladder: LadderFile = None,
    as_json: Json = False,
) -> None:
    """Writes down a yes or a no about filming a child; taking a yes back is a no of its own."""
    from loftbook.cli.privacy import agree

    agree(name, purpose, word, said_by, by, until, book, ladder, as_json)


@app.command()
def delete(
    which: Which,
    by: By,
    why: Annotated[str, typer.Option(help="For what reason")] = "asked for",
    book: Book = None,
    ladder: LadderFile = None,
    as_json: Json = False,
) -> None:
    """Deletes a film with every file and every finding, for good."""
    from loftbook.desk.film.attaching import delete_film
    from loftbook.desk.film.finding import find_film
    from loftbook.desk.opening import open_desk

    desk = open_desk(book, ladder_file=ladder, create=False)
    line = find_film(desk, which)
    end = delete_film(desk, line.film.id, by=by, why=why)
    say(end, [f"{line.film.name} is deleted, with everything that was measured from it."], as_json=as_json)
