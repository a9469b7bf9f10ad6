"""`loftbook serve`: the pages, on this machine only."""

from __future__ import annotations

from typing import Annotated

import typer

from loftbook.cli.options import Book, LadderFile


def serve(
    book: Book = None,
    ladder: LadderFile = None,
    port: Annotated[int, typer.Option(min=0, max=65535, help="The port; 0 takes a free one")] = 8642,
) -> None:
    """Serves the pages on loopback until Ctrl-C; nobody else on the network can reach them."""
    from loftbook.desk.opening import open_desk
    from loftbook.web.serving import serve_on_loopback

    serve_on_loopback(open_desk(book, ladder_file=ladder), port=port, say=typer.echo)
