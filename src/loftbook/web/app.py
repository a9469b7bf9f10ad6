"""One app from one desk: pages, JSON answers, fonts, and the guard in front of them all."""

from __future__ import annotations

from collections.abc import Iterable

from fastapi import FastAPI

from loftbook.desk import Desk
from loftbook.web import fonts, gym, static_files
from loftbook.web.api import api_routers
from loftbook.web.faults import install_faults
from loftbook.web.guard import LARGEST_UPLOAD, LOOPBACK, Guard
from loftbook.web.pages import page_routers
from loftbook.web.waiting import WaitingRoom


def create_app(
    desk: Desk, *, hosts: Iterable[str] = LOOPBACK, largest_upload: int = LARGEST_UPLOAD
) -> FastAPI:
    """The pages and JSON answers of one book, ready for a server.

    `hosts` are the names by which a browser may call it (without port); the default
    is this machine alone. `largest_upload` is in bytes.
    """
    app = FastAPI(
        title="Loftbook",
        summary="The camp book: who did what, what changed, as JSON.",
        description="It records and reminds; a qualified coach decides. What is worked out comes with its interval.",
        version="1",
        docs_url=None,
        redoc_url=None,
        openapi_url="/api/openapi.json",
    )
    app.state.desk = desk
    app.state.waiting = WaitingRoom()
    install_faults(app)
    for router in (fonts.router, static_files.router, gym.router, *api_routers(), *page_routers()):
        app.include_router(router)
    app.add_middleware(Guard, hosts=tuple(hosts), largest=largest_upload)
    return app
