"""`loftbook ladder`: show the ladder, copy it for editing, check an edited one."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from loftbook.cli.options import Json, LadderFile, print_json, write_file

app = typer.Typer(help="The ladder: rungs, standards, drills.", no_args_is_help=True)


@app.command()
def show(ladder: LadderFile = None, as_json: Json = False) -> None:
    """Lists the rungs with their standards."""
    from loftbook.desk.opening import open_ladder

    found = open_ladder(ladder)
    if as_json:
        print_json(found)
        return
    typer.echo(f"{found.name}, edition {found.edition}, {found.dated}")
    for rung in found.rungs:
        star = "*" if rung.tested else " "
        typer.echo(f" {star} {rung.key:28} {rung.name}  ({rung.standard.help.words})")
    typer.echo(" * shown by everyone at a camp")


@app.command()
def copy(
    file: Annotated[Path, typer.Argument(help="Where to write the copy, such as my-ladder.toml")],
) -> None:
    """Writes the shipped ladder as a text file that you can edit."""
    from loftbook.desk.opening import shipped_ladder_text

    write_file(file, shipped_ladder_text().encode())
    typer.echo(f"Written to {file}. Edit it, then use it with --ladder {file}.")


@app.command()
def check(file: Annotated[Path, typer.Argument(help="The ladder file")]) -> None:
    """Reads an edited ladder; a mistake names its line and what to do."""
    from loftbook.desk.opening import open_ladder

    found = open_ladder(file)
    typer.echo(
        f"{found.name}, edition {found.edition}: {len(found.rungs)} rungs, {len(found.drills)} drills. "
        "No mistakes found."
    )
