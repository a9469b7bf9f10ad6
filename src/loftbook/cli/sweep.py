"""`loftbook lab sweep`: a plan over many bodies, spins and timings."""

from __future__ import annotations

from typing import Annotated

import typer

from loftbook.cli.options import Json
from loftbook.cli.options import answer as say


def sweep(
    plan: Annotated[
        str,
        typer.Argument(help="A plan: a file, a link from the studio, or a preset (`loftbook lab presets`)"),
    ],
    stature_cm: Annotated[
        list[float] | None, typer.Option("--stature-cm", min=80, max=230, help="Heights, presets only")
    ] = None,
    spin: Annotated[
        list[float] | None, typer.Option("--spin", help="Momenta, per cent of the plan's")
    ] = None,
    timing_ms: Annotated[
        list[float] | None, typer.Option("--timing-ms", help="How far each movement strays, ms")
    ] = None,
    count: Annotated[int, typer.Option(min=20, max=2000, help="How many flights for each")] = 200,
    seed: Annotated[int, typer.Option(min=0, help="Of the draws: the same seed gives the same answer")] = 1,
    table: Annotated[str, typer.Option(help="Table of proportions, female or male; presets only")] = "female",
    age: Annotated[float, typer.Option(min=4, max=99, help="Age in years, presets only")] = 15.0,
    cluster: Annotated[
        str, typer.Option("--cluster", help="A Dask scheduler's address; default: this machine's processors")
    ] = "",
    as_json: Json = False,
) -> None:
    """How a plan lands over many bodies, spins and timings; each option may be given several times."""
    from loftbook.desk.lab.mapping import Cluster, Here
    from loftbook.desk.lab.sweep import sweep as swept

    found = swept(
        plan,
        statures=stature_cm or [160.0],
        spins=spin or [95.0, 100.0, 105.0],
        timings=timing_ms or [10.0],
        draws=(count, seed),
        proportions=(table, age),
        mapper=Cluster(cluster) if cluster else Here(),
    )
    lines = ["height cm  spin %  timing ms   twist at landing: 95 of 100 within   spread"]
    lines += [
        f"{row['stature_cm']:9g}  {row['spin_percent']:6g}  {row['timing_ms']:9g}   "
        f"{row['least_deg']:+8.0f}° to {row['most_deg']:+.0f}°".ljust(67)
        + f"{row['spread_deg']:6.0f}°"
        for row in found["rows"]
    ]
    lines.append(
        "A model without correction in flight. It shows what timing does, not what anybody should try: a qualified "
        "coach decides."
    )
    say(found, lines, as_json=as_json)
