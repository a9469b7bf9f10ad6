"""`loftbook serve`: the pages, on this machine, and in the hall where that is asked for."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING, Annotated

import typer

from loftbook.cli.options import Book, LadderFile
from loftbook.errors import UnknownThing

if TYPE_CHECKING:
    from loftbook.web.log_lines import Write


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
    log: Annotated[
        str, typer.Option("--log", help="plain, or json: a line for each request, without anybody's name")
    ] = "plain",
) -> None:
    """Serves the pages until Ctrl-C: on this machine only, or with --hall also to tablets that are let in."""
    from loftbook.desk.opening import open_desk

    desk = open_desk(book, ladder_file=ladder)
    lines = _lines(log)
    say: Callable[[str], object] = (
        typer.echo if lines is None else lambda text: lines({"event": "listening", "says": text})
    )
    if hall:
        from loftbook.web.hall.listening import serve_in_the_hall

        serve_in_the_hall(desk, port=port, hall_port=hall_port, open_port=open_port, say=say, log=lines)
    else:
        from loftbook.web.serving import serve_on_loopback

        serve_on_loopback(desk, port=port, say=say, log=lines)


def _lines(log: str) -> Write | None:
    if log not in ("plain", "json"):
        raise UnknownThing(f"the log {log!r}", "plain or json", "choose one of them")
    if log == "plain":
        return None
    from loftbook.web.log_lines import log_nameless, to_standard_output

    log_nameless()
    return to_standard_output
