"""The first page for a device in the hall: no names in it, how to trust the laptop, where to go on."""

from __future__ import annotations

from fastapi import APIRouter
from starlette.requests import Request
from starlette.responses import Response

from loftbook.desk.devices import guests_allowed
from loftbook.errors import UnknownThing
from loftbook.web.access import Door, door_of
from loftbook.web.hall.address import Hall
from loftbook.web.rendering import keeper_of, render

router = APIRouter(include_in_schema=False)


@router.get("/hello")
def hello_page(request: Request) -> Response:
    """How to go on from here."""
    return render(
        request,
        "pages/hello/template.html",
        hall=request.app.state.hall,
        private=door_of(request.scope) is not Door.OPEN,
        guests=guests_allowed(keeper_of(request)),
    )


@router.get("/hello/loftbook-ca.crt")
def authority_file(request: Request) -> Response:
    """The certificate of this laptop's own authority."""
    hall: Hall | None = request.app.state.hall
    if hall is None or not hall.authority:
        raise UnknownThing(
            "no certificate: the laptop does not listen in the hall",
            "a laptop that does",
            "start it with `loftbook serve --hall`",
        )
    name = 'attachment; filename="loftbook-ca.crt"'
    return Response(
        hall.authority, media_type="application/x-x509-ca-cert", headers={"Content-Disposition": name}
    )
