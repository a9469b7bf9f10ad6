"""Listeners in the hall beside the one on this machine: https, and plain http for the first visit."""

from __future__ import annotations

import ipaddress
import socket
import threading
from collections.abc import Callable, Iterator
from contextlib import ExitStack, contextmanager
from pathlib import Path
from typing import Any

import uvicorn
from starlette.types import ASGIApp

from loftbook.desk import Desk
from loftbook.desk.film.working import worker_beside
from loftbook.errors import LoftbookError
from loftbook.web.access import Door, at_door
from loftbook.web.app import create_app
from loftbook.web.hall.address import NAME, Hall, private_addresses
from loftbook.web.hall.authority import Papers, papers
from loftbook.web.log_lines import Write, library_log
from loftbook.web.warming import begin_warming

EVERYWHERE = "0.0.0.0"  # noqa: S104  listening in the hall is what was asked for


def serve_in_the_hall(
    desk: Desk,
    *,
    port: int,
    hall_port: int,
    open_port: int,
    say: Callable[[str], object],
    log: Write | None = None,
) -> None:
    """Serves this machine and the hall until Ctrl-C, and makes the name loftbook.local known there."""
    book = desk.store.path
    if book is None:
        raise LoftbookError("a book that is no file", "a book in a file", "name one with --book")
    addresses = private_addresses()
    with ExitStack() as stack:
        near = stack.enter_context(bound("127.0.0.1", port, "--port"))
        far = stack.enter_context(bound(EVERYWHERE, hall_port, "--hall-port"))
        plain = stack.enter_context(bound(EVERYWHERE, open_port, "--open-port"))
        paper = papers(folder_beside(book), addresses, desk.clock())
        hall = Hall(addresses, far.getsockname()[1], plain.getsockname()[1], paper.authority)
        app = create_app(desk, hall=hall, log=log)
        stack.enter_context(beside(server_of(at_door(app, Door.HALL), paper=paper), far))
        stack.enter_context(beside(server_of(at_door(app, Door.OPEN)), plain))
        name = stack.enter_context(named(addresses, hall.port))
        stack.enter_context(worker_beside(desk))
        say(_told(hall, near.getsockname()[1], named=name))
        begin_warming()
        server_of(app).run(sockets=[near])


def folder_beside(book: Path) -> Path:
    """Where the certificates of a book's laptop lie."""
    return book.with_name(book.name + ".certificates")


@contextmanager
def bound(host: str, port: int, option: str) -> Iterator[socket.socket]:
    """A socket that listens there; a port in use is a sentence, not a traceback."""
    with socket.socket(socket.AF_INET, socket.SOCK_STREAM, socket.IPPROTO_TCP) as listener:
        listener.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        try:
            listener.bind((host, port))
        except OSError as error:
            raise LoftbookError(
                f"port {port} in use ({error.strerror})", "a free port", f"choose another with {option}"
            ) from error
        yield listener


@contextmanager
def beside(server: uvicorn.Server, listener: socket.socket) -> Iterator[None]:
    """A server that runs beside, and ends with the block."""
    thread = threading.Thread(target=server.run, kwargs={"sockets": [listener]}, daemon=True)
    thread.start()
    try:
        yield
    finally:
        server.should_exit = True
        thread.join(10)


@contextmanager
def named(addresses: tuple[str, ...], port: int) -> Iterator[bool]:
    """Makes loftbook.local known on the network (multicast DNS); False where that cannot be done."""
    from zeroconf import Error, IPVersion, ServiceInfo, Zeroconf

    service = ServiceInfo(
        "_https._tcp.local.",
        "Loftbook._https._tcp.local.",
        addresses=[ipaddress.ip_address(address).packed for address in addresses],
        port=port,
        server=f"{NAME}.",
    )
    try:
        responder = Zeroconf(interfaces=list(addresses), ip_version=IPVersion.V4Only) if addresses else None
    except OSError:
        responder = None
    if responder is None:
        yield False
        return
    try:
        yield _registered(responder, service, Error)
    finally:
        responder.close()


def _registered(responder: Any, service: Any, trouble: type[Exception]) -> bool:
    try:
        responder.register_service(service)
    except (OSError, trouble):
        return False  # another laptop in the hall has the name, or multicast is blocked
    return True


def server_of(app: ASGIApp, *, paper: Papers | None = None) -> uvicorn.Server:
    """A server of the app as it listens in the hall; with papers, over https."""
    config = uvicorn.Config(
        app,
        log_level="warning",
        access_log=False,
        ws="none",
        proxy_headers=False,  # who asks is told by the socket, never by a header
        server_header=False,
        ssl_certfile=str(paper.certificate) if paper else None,
        ssl_keyfile=str(paper.key) if paper else None,
        limit_concurrency=400,
        log_config=library_log(),
    )
    return uvicorn.Server(config)


def _told(hall: Hall, port: int, *, named: bool) -> str:
    ways = [hall.origin(address, private=False) + "/hello" for address in hall.addresses]
    lines = [
        f"On this machine: http://127.0.0.1:{port} (Ctrl-C ends it).",
        f"Let tablets in at http://127.0.0.1:{port}/devices",
        f"In the hall, with the certificate: {hall.origin()}",
        "First visit of a tablet: "
        + (", ".join(ways) or "no network found; switch one on, or the laptop's hotspot"),
    ]
    if not named:
        lines.append(
            f"The name {NAME} could not be made known here; use the addresses, or the laptop's hotspot."
        )
    return "\n".join(lines)
