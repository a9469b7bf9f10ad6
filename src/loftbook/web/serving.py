"""Serve the pages on this machine's own address, where nobody else can reach them."""

from __future__ import annotations

import socket
from collections.abc import Callable

import uvicorn

from loftbook.desk import Desk
from loftbook.desk.film.working import worker_beside
from loftbook.errors import LoftbookError
from loftbook.web.app import create_app
from loftbook.web.log_lines import Write, library_log
from loftbook.web.warming import begin_warming

LOOPBACK = "127.0.0.1"


def serve_on_loopback(
    desk: Desk, *, port: int, say: Callable[[str], object], log: Write | None = None
) -> None:
    """Serves until Ctrl-C; port 0 takes a free one. A port in use is a sentence, not a traceback."""
    with socket.socket(socket.AF_INET, socket.SOCK_STREAM, socket.IPPROTO_TCP) as listener:
        listener.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        try:
            listener.bind((LOOPBACK, port))
        except OSError as error:
            raise LoftbookError(
                f"port {port} in use ({error.strerror})",
                "a free port",
                "choose another with --port, or --port 0",
            ) from error
        say(f"The pages are at http://{LOOPBACK}:{listener.getsockname()[1]} (Ctrl-C ends it).")
        begin_warming()
        config = uvicorn.Config(
            create_app(desk, log=log),
            log_level="warning",
            access_log=False,
            server_header=False,
            log_config=library_log(),
        )
        with worker_beside(desk):
            uvicorn.Server(config).run(sockets=[listener])
