"""Letting devices in and shutting them out; guests; the pass phrase. At the laptop only."""

from __future__ import annotations

import io
from typing import Annotated
from uuid import UUID

import segno
from fastapi import APIRouter, Depends
from markupsafe import Markup
from starlette.datastructures import FormData
from starlette.requests import Request
from starlette.responses import RedirectResponse, Response

from loftbook.book.access import Role
from loftbook.book.devices import Pairing
from loftbook.desk import Desk
from loftbook.desk.devices import (
    Ticket,
    all_devices,
    allow_guests,
    guests_allowed,
    has_phrase,
    offer,
    set_phrase,
    shut_out,
)
from loftbook.desk.people import all_camps
from loftbook.errors import LoftbookError, Refused
from loftbook.web.forms import identity, posted, text
from loftbook.web.hall.address import Hall
from loftbook.web.rendering import AtDesk, render

router = APIRouter(include_in_schema=False)
_Form = Annotated[FormData, Depends(posted)]


@router.get("/devices")
def devices_page(request: Request, desk: AtDesk) -> Response:
    """Who is let in, and the form for one more."""
    return _page(request, desk)


@router.post("/devices")
def offer_page(request: Request, desk: AtDesk, form: _Form) -> Response:
    """A code for one device, as a picture and to be typed; shown once."""
    try:
        ticket = offer(desk, _pairing(form))
    except LoftbookError as error:
        return _page(request, desk, fault=error.sentence())
    return _page(request, desk, ticket=ticket)


@router.post("/devices/{device_id}/out")
def out_page(desk: AtDesk, device_id: UUID) -> Response:
    """Shuts a device out at once."""
    shut_out(desk, device_id)
    return RedirectResponse("/devices", 303)


@router.post("/devices/guests")
def guests_page(desk: AtDesk, form: _Form) -> Response:
    """Allows or forbids devices without the certificate."""
    allow_guests(desk, allowed=text(form, "allowed") == "yes")
    return RedirectResponse("/devices", 303)


@router.post("/devices/phrase")
def phrase_page(request: Request, desk: AtDesk, form: _Form) -> Response:
    """Sets the laptop's pass phrase, or takes it away; everybody is asked anew."""
    try:
        set_phrase(desk, text(form, "phrase"))
    except Refused as refused:
        return _page(request, desk, fault=refused.sentence())
    request.app.state.keyring.drop_all()
    return RedirectResponse("/devices", 303)


def _pairing(form: FormData) -> Pairing:
    try:
        role = Role(text(form, "role"))
    except ValueError:
        raise Refused("no role", "what the device is let in for", "choose one") from None
    entry = role is Role.ENTRY
    return Pairing(
        role=role,
        rater=text(form, "rater"),
        second=entry and text(form, "second") == "yes",
        camp=identity(form, "camp"),
        name=text(form, "name"),
    )


def _page(request: Request, desk: Desk, *, ticket: Ticket | None = None, fault: str = "") -> Response:
    hall: Hall | None = request.app.state.hall
    now = desk.clock()
    return render(
        request,
        "pages/devices/template.html",
        status=422 if fault else 200,
        fault=fault,
        hall=hall,
        ticket=ticket,
        pictures=_pictures(hall, ticket, guests=guests_allowed(desk)),
        devices=all_devices(desk),
        now=now,
        roles=tuple(Role),
        camps=all_camps(desk),
        guests=guests_allowed(desk),
        phrase=has_phrase(desk),
    )


def _pictures(hall: Hall | None, ticket: Ticket | None, *, guests: bool) -> list[tuple[str, str, Markup]]:
    """For each way to the laptop its name, its address and the picture; behind the # no log sees the secret."""
    if hall is None or ticket is None:
        return []
    ways = [("With the certificate", hall.origin())]
    if guests and ticket.pairing.role is Role.ENTRY:
        ways += [
            (f"Guest, by {address}", hall.origin(address, private=False)) for address in hall.addresses[:2]
        ]
    return [(name, origin, picture_of(f"{origin}/pair#{ticket.secret}")) for name, origin in ways]


def picture_of(address: str) -> Markup:
    """An address as a picture that a camera reads (QR code, ISO/IEC 18004)."""
    drawn = io.BytesIO()
    segno.make(address, error="m", micro=False).save(
        drawn,
        kind="svg",
        scale=5,
        border=4,
        light="#fff",
        dark="#000",
        xmldecl=False,
        svgns=True,
        omitsize=True,
    )
    return Markup(drawn.getvalue().decode())  # noqa: S704  made of black and white squares only
