"""`loftbook lab`: what a next rung asks for, and flights that are planned; nothing of it clears anybody."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from loftbook.cli.options import Book, Json, LadderFile
from loftbook.cli.options import answer as say

app = typer.Typer(
    help="The lab: what the next step needs, and how forgiving a flight is.", no_args_is_help=True
)
Which = Annotated[
    str | None, typer.Option("--camp", help="The camp: its name or a day of it; the latest if left out")
]
Plan = Annotated[
    str, typer.Argument(help="A plan: a file, a link from the studio, or a preset (`loftbook lab presets`)")
]
Stature = Annotated[
    float, typer.Option("--stature-cm", min=80, max=230, help="Height of the body, presets only")
]
Table = Annotated[str, typer.Option(help="Table of proportions, female or male; presets only")]
Age = Annotated[float, typer.Option(min=4, max=99, help="Age in years, presets only")]
Seed = Annotated[int, typer.Option(min=0, help="Of the draws: the same seed gives the same answer")]


@app.command()
def budget(
    name: Annotated[str, typer.Argument(help="Her name, either order, or her id")],
    book: Book = None,
    ladder: LadderFile = None,
    as_json: Json = False,
) -> None:
    """What each next rung would ask of one gymnast, against the flight and the spin that are known."""
    from loftbook.cli.lab_words import budget_lines
    from loftbook.desk.lab.next_steps import athlete_steps
    from loftbook.desk.opening import open_desk
    from loftbook.desk.people import find_athlete

    desk = open_desk(book, ladder_file=ladder, create=False)
    found = athlete_steps(desk, find_athlete(desk, name).id)
    say(found, budget_lines(found), as_json=as_json)


@app.command()
def group(
    which: Which = None,
    rung: Annotated[str, typer.Option(help="One rung for all; each her own next one if left out")] = "",
    book: Book = None,
    ladder: LadderFile = None,
    as_json: Json = False,
) -> None:
    """Everybody's margin at a camp, in the order of names, and whom nobody has measured yet."""
    from loftbook.cli.lab_words import group_lines
    from loftbook.desk.lab.next_steps import camp_steps
    from loftbook.desk.opening import open_desk
    from loftbook.desk.people import find_camp

    desk = open_desk(book, ladder_file=ladder, create=False)
    found = camp_steps(desk, find_camp(desk, which).id, rung=rung)
    say(found, group_lines(found), as_json=as_json)


@app.command()
def presets(as_json: Json = False) -> None:
    """The flights that the lab begins with."""
    from loftbook.desk.lab.planned import Person
    from loftbook.desk.lab.presets import presets as every
    from loftbook.desk.lab.presets import presets_json

    lines = [f"{one.key:20} {one.notation:8} {one.name}" for one in every()]
    say(presets_json(Person()) if as_json else None, lines, as_json=as_json)


@app.command()
def fly(
    plan: Plan,
    frames: Annotated[int, typer.Option(min=2, max=241, help="Instants of the figure in the JSON")] = 61,
    stature_cm: Stature = 160.0,
    table: Table = "female",
    age: Age = 15.0,
    save: Annotated[Path | None, typer.Option("--save", help="Also write the plan to this file")] = None,
    as_json: Json = False,
) -> None:
    """Flies a plan: what it was in the trade's notation, how it lands, and every frame as JSON."""
    from loftbook.cli.lab_words import flown_lines
    from loftbook.desk.lab.answers import flown_named, save_plan

    found = flown_named(plan, frames=frames, body=(stature_cm, table, age))
    if save is not None:
        save_plan(save, found["plan"])
    say(found["flown"], flown_lines(found), as_json=as_json)


@app.command()
def fan(
    plan: Plan,
    count: Annotated[int, typer.Option(min=20, max=2000, help="How many flights")] = 500,
    seed: Seed = 1,
    stature_cm: Stature = 160.0,
    table: Table = "female",
    age: Age = 15.0,
    as_json: Json = False,
) -> None:
    """Where a plan lands when each movement is 10 ms and the momentum 2 % off, as a matter of course."""
    from loftbook.cli.lab_words import fan_lines
    from loftbook.desk.lab.answers import fan_named

    found = fan_named(plan, {"count": count, "seed": seed}, body=(stature_cm, table, age))
    say(found, fan_lines(found), as_json=as_json)


@app.command()
def forgive(
    plan: Plan,
    starts: Annotated[int, typer.Option(min=4, max=60, help="Places from which to look")] = 16,
    seed: Seed = 1,
    stature_cm: Stature = 160.0,
    table: Table = "female",
    age: Age = 15.0,
    save: Annotated[Path | None, typer.Option("--save", help="Write the plan found to this file")] = None,
    as_json: Json = False,
) -> None:
    """Looks for the timing that forgives most; says how far it is on standard error."""
    from loftbook.cli.lab_words import forgiven_lines
    from loftbook.desk.lab.answers import forgive_named, save_plan

    found = forgive_named(
        plan,
        seed=seed,
        starts=starts,
        body=(stature_cm, table, age),
        progress=lambda share, words: typer.echo(f"{share:4.0%} {words}", err=True),
    )
    if save is not None:
        save_plan(save, found["plan"])
    say(found, forgiven_lines(found), as_json=as_json)


@app.command()
def card(
    plan: Plan,
    to: Annotated[Path, typer.Option("--to", help="The PDF to write")] = Path("teaching-card.pdf"),
    paper: Annotated[str, typer.Option(help="a4 or letter")] = "a4",
    stature_cm: Stature = 160.0,
    table: Table = "female",
    age: Age = 15.0,
    ladder: LadderFile = None,
    as_json: Json = False,
) -> None:
    """A plan as a teaching card to print."""
    from loftbook.desk.lab.card import write_card
    from loftbook.desk.opening import open_desk

    write_card(
        open_desk(":memory:", ladder_file=ladder), plan, to, paper=paper, body=(stature_cm, table, age)
    )
    say({"files": [str(to)]}, [str(to)], as_json=as_json)


@app.command()
def replay(
    flight: Annotated[
        str,
        typer.Argument(help="A recorded flight's table (.csv), or a film of the book: its id or file"),
    ],
    book: Book = None,
    save: Annotated[
        Path | None, typer.Option("--save", help="Write what the studio opens to this file")
    ] = None,
    as_json: Json = False,
) -> None:
    """A flight that was recorded or filmed, as measured and as mechanics alone would turn it."""
    from loftbook.cli.lab_words import replay_lines
    from loftbook.desk.lab.answers import save_plan
    from loftbook.desk.lab.replay import replay_named

    found = replay_named(flight, book)
    if save is not None:
        save_plan(save, found)
    say(found, replay_lines(found), as_json=as_json)
