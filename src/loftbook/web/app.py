"""One app from one desk: pages, JSON answers, fonts, and the guard in front of them all."""

from __future__ import annotations

from collections.abc import Iterable

from fastapi import FastAPI

from loftbook.desk import Desk
from loftbook.desk.intake import Intake
from loftbook.desk.lab.forgiving import Searches
from loftbook.web import fonts, gym, health, islands, static_files
from loftbook.web.access import Gate, guarded
from loftbook.web.api import api_routers
from loftbook.web.faults import install_faults
from loftbook.web.guard import LARGEST_UPLOAD, LOOPBACK, Guard
from loftbook.web.hall.address import Hall
from loftbook.web.keyring import Keyring, Limit
from loftbook.web.log_lines import RequestLines, Write
from loftbook.web.outgoing import Outgoing
from loftbook.web.pages import page_routers
from loftbook.web.waiting import WaitingRoom


def create_app(
    desk: Desk,
    *,
    hosts: Iterable[str] = LOOPBACK,
    largest_upload: int = LARGEST_UPLOAD,
    hall: Hall | None = None,
    log: Write | None = None,
) -> FastAPI:
    """The pages and JSON answers of one book, for a server to run.

    `hosts` are the names by which a browser may call it (without port); the default
    is this machine alone. `largest_upload` is in bytes. `hall` says how devices reach it
    over the hall's network, where they can; listeners there wrap the app in `at_door`.
    `log` takes a line for each request.
    """
    app = FastAPI(
        title="Loftbook",
        summary="The camp book: who did what, what changed, as JSON.",
        description="It records and reminds; a qualified coach decides. What is worked out comes with its interval.",
        version="1",
        docs_url=None,
        redoc_url=None,
        openapi_url="/api/openapi.json",
        telemetry={"tracing": False, "metrics": False, "logs": False},  # nothing leaves by itself
    )
    app.state.desk = desk
    app.state.waiting = WaitingRoom()
    app.state.keyring = Keyring()
    app.state.intake = Intake(desk)
    app.state.hall = hall
    app.state.searches = Searches()
    install_faults(app)
    _count_tries(app)
    shell = (health.router, fonts.router, static_files.router, islands.router, gym.router)
    routers = (*api_routers(), *shell, *page_routers())
    for router in routers:
        app.include_router(router)
    rules = guarded([*app.routes[:1], *(route for router in routers for route in router.routes)])
    app.add_middleware(Outgoing, desk=desk)
    app.add_middleware(Gate, rules=rules, desk=desk, keyring=app.state.keyring)
    app.add_middleware(
        Guard, hosts=tuple(hosts), hall_hosts=hall.hosts if hall else (), largest=largest_upload
    )
    if log is not None:
        app.add_middleware(RequestLines, write=log)
    return app


def _count_tries(app: FastAPI) -> None:
    """How often something may be tried. A code of six of 30 letters lasts five minutes: 300 tries in 729 million."""
    app.state.code_tries = Limit(10, 60)  # each address
    app.state.code_tries_of_all = Limit(60, 60)
    app.state.phrase_tries = Limit(5, 60)
    app.state.batches = Limit(120, 60)  # each device
    app.state.lab_flights = Limit(3000, 60)  # each device; a drag asks about twenty times a second
