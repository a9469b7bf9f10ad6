"""`loftbook serve`: the pages, on this machine, and in the hall where that is asked for."""

from __future__ import annotations

from typing import Annotated

import typer

from loftbook.cli.options import Book, LadderFile


def serve(
    book: Book = None,
    ladder: LadderFile = None,
    port: Annotated[int, typer.Option(min=0, max=65535, help="The port; 0 takes a free one")] = 8642,
    hall: Annotated[
        bool, typer.Option("--hall", help="Also listen on the hall's network, for tablets.")
    ] = False,
    hall_port: Annotated[int, typer.Option(min=0, max=65535, help="The port in the hall, https")] = 8643,
    open_port: Annotated[
        int, typer.Option(min=0, max=65535, help="The port in the hall, plain http: first visit, guests")
    ] = 8644,
) -> None:
    """Serves the pages until Ctrl-C: on this machine only, or with --hall also to tablets that are let in."""
    from loftbook.desk.opening import open_desk

    desk = open_desk(book, ladder_file=ladder)
    if hall:
        from loftbook.web.hall.listening import serve_in_the_hall

        serve_in_the_hall(desk, port=port, hall_port=hall_port, open_port=open_port, say=typer.echo)
    else:
        from loftbook.web.serving import serve_on_loopback

        serve_on_loopback(desk, port=port, say=typer.echo)
