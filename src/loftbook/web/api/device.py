"""A device asks who it is, shows its code, or asks to be forgotten."""

from __future__ import annotations

from typing import Any

from fastapi import APIRouter
from starlette.requests import Request
from starlette.responses import JSONResponse, Response

from loftbook.book.access import Visitor
from loftbook.book.devices import GUEST_STAYS, STAYS, Device
from loftbook.desk.devices import LetIn, let_in, shut_out
from loftbook.desk.plain import as_plain
from loftbook.errors import Refused
from loftbook.web.access import Asking, Door, door_of, drop_token, set_token
from loftbook.web.api.gym_shapes import DeviceShape
from loftbook.web.api.posted import Posted, word
from loftbook.web.rendering import AtDesk, desk_of

router = APIRouter(prefix="/api", tags=["gym"])

TOO_MANY = "Too many tries. What to do: wait {wait} seconds, then ask the head coach for a fresh code."


@router.get("/device", responses={200: {"model": DeviceShape}})
def device(who: Asking) -> dict[str, Any]:
    """Who this device is; role null where nobody let it in."""
    return told(who.visitor, who.device)


@router.post("/pair", include_in_schema=False)  # the answer gives a cookie away; for the entry screen only
def pair(request: Request, sent: Posted) -> Response:
    """Lets this device in by a secret or a typed code."""
    wait = tries_left(request)
    if wait:
        body = {"title": "Too many tries", "error": TOO_MANY.format(wait=wait), "code": "too_many"}
        return JSONResponse(body, 429, headers={"Retry-After": str(wait)})
    try:
        made = by_code(request, secret=word(sent, "secret"), code=word(sent, "code"), name=word(sent, "name"))
    except Refused as refused:
        body = {"title": "Not let in", "error": refused.sentence(), "code": "pairing"}
        return JSONResponse(body, 403)
    private = door_of(request.scope) is not Door.OPEN
    visitor = Visitor(made.device.role, private=private, device=made.device.id, name=made.device.name)
    answer = JSONResponse(told(visitor, made.device))
    give(answer, request, made)
    return answer


@router.post("/unpair", include_in_schema=False)
def unpair(request: Request, desk: AtDesk, who: Asking) -> Response:
    """Forgets this device; what waits on it stays on it."""
    if who.device is not None:
        shut_out(desk, who.device.id)
    answer = JSONResponse({"left": True})
    drop_token(answer, door_of(request.scope))
    return answer


def tries_left(request: Request) -> int:
    """Counts a try at a code; 0 if it may be made, else the seconds to wait."""
    address = request.client.host if request.client else "somebody"
    state = request.app.state
    return int(state.code_tries.wait(address) or state.code_tries_of_all.wait("all"))


def by_code(request: Request, *, secret: str, code: str, name: str) -> LetIn:
    """Lets a device in, by the rules of the door that it came through."""
    guest = door_of(request.scope) is Door.OPEN
    if door_of(request.scope) is Door.LAPTOP:
        raise Refused(
            "a code typed at the laptop itself",
            "a tablet or phone",
            "open the address on the device to be let in",
        )
    return let_in(desk_of(request), secret=secret, code=code, name=name, guest=guest)


def give(answer: Response, request: Request, made: LetIn) -> None:
    """Puts the new token into the answer's cookie."""
    lasts = GUEST_STAYS if made.device.guest else STAYS
    set_token(answer, door_of(request.scope), made.token, seconds=int(lasts.total_seconds()))


def told(visitor: Visitor, device: Device | None) -> dict[str, Any]:
    """What a device may know about itself."""
    shown = None
    if device is not None:
        keys = ("id", "name", "role", "rater", "second", "until", "camp", "guest")
        shown = {key: as_plain(getattr(device, key)) for key in keys}
    return {
        "device": shown,
        "role": visitor.role.value if visitor.role else None,
        "here": visitor.here,
        "secure": visitor.private,
    }
