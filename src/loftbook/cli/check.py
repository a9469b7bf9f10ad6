"""`loftbook check`: every outside check of the product, run here and now."""

from __future__ import annotations

from typing import Annotated

import typer

from loftbook.cli.options import Json, print_json
from loftbook.cli.words import check_lines


def check(
    only: Annotated[
        str | None, typer.Option(help="Only checks whose name or subject holds this word")
    ] = None,
    as_json: Json = False,
) -> None:
    """Runs the checks against published values, laws, second engines and open data."""
    from loftbook.checks import as_rows, run_all

    outcomes = run_all(only)
    if as_json:
        print_json(as_rows(outcomes))
    else:
        typer.echo("\n".join(map(check_lines, outcomes)))
    if any(outcome.holds is False for outcome in outcomes):
        raise typer.Exit(1)
