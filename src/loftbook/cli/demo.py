"""`loftbook demo`: an invented squad over four camps, through the real import and entry."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer


def demo(
    folder: Annotated[
        Path, typer.Option("--to", help="The folder for the demo's book, lists and papers")
    ] = Path("demo-camp"),
    serve: Annotated[bool, typer.Option(help="Serve the pages afterwards")] = True,
    port: Annotated[int, typer.Option(min=0, max=65535)] = 8642,
) -> None:
    """Makes the demonstration camp, prints what happened, writes the papers, serves the pages."""
    from loftbook.cli.words import camp_lines
    from loftbook.desk.answers import camp_answer
    from loftbook.desk.demo.run import build_demo
    from loftbook.desk.files import write_file
    from loftbook.desk.people import find_camp
    from loftbook.desk.printing import camp_lists_pdf, write_letters

    desk = build_demo(folder, say=typer.echo)
    camp = find_camp(desk)
    typer.echo("\n".join(["", *camp_lines(camp_answer(desk, camp.id)), ""]))
    papers = folder / "papers"
    letters = write_letters(desk, camp.id, papers)
    write_file(papers / f"camp-lists-{camp.starts}.pdf", camp_lists_pdf(desk, camp.id))
    typer.echo(
        f"{len(letters)} letters and the camp's lists are in {papers}. All people in them are invented."
    )
    if serve:
        from loftbook.web.serving import serve_on_loopback

        serve_on_loopback(desk, port=port, say=typer.echo)
