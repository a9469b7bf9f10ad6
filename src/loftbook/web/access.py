"""The only file that decides who may see what: a rule for each address, and the gate that keeps them.

An address without a rule cannot be served: `create_app` refuses to start. What each
role may do stands in `loftbook.book.access`; here stands which address asks for what.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from enum import Enum
from types import MappingProxyType
from typing import Annotated
from uuid import UUID

from fastapi import Depends
from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import JSONResponse, RedirectResponse, Response
from starlette.routing import BaseRoute, Match
from starlette.types import ASGIApp, Receive, Scope, Send

from loftbook.book.access import Action, Role, Visitor, Why, may
from loftbook.book.accounts import Sees
from loftbook.book.devices import Device
from loftbook.desk import Desk
from loftbook.desk.devices import device_at_once, device_of, has_phrase
from loftbook.errors import LoftbookError
from loftbook.web.account_desks import AccountDesks
from loftbook.web.faults import Fault, fault_answer, fault_of, wants_json
from loftbook.web.keyring import Keyring
from loftbook.web.rendering import CHAPTERS


class Door(Enum):
    """By which way somebody comes in: the listener decides, never a header."""

    LAPTOP = "laptop"  # loopback: this machine alone
    HALL = "hall"  # https on the hall's network
    OPEN = "open"  # plain http on the hall's network: others can read along


def _rules(action: Action, *addresses: str) -> dict[tuple[str, str], Action]:
    return {tuple(address.split(" ", 1)): action for address in addresses}  # type: ignore[misc]


RULES: Mapping[tuple[str, str], Action] = MappingProxyType(
    _rules(
        Action.LOOK_IN,
        "GET /static/{name}",
        "GET /islands/{name}",
        "GET /fonts/{name}",
        "GET /cautions",
        "GET /health",
        "GET /health/serving",
        "POST /look",
        "GET /gym",
        "GET /gym/{name}",
        "GET /hello",
        "GET /hello/loftbook-ca.crt",
        "GET /pair",
        "POST /pair",
        "GET /unlock",
        "POST /unlock",
        "GET /api/device",
        "POST /api/pair",
    )
    | _rules(Action.OWN_LEAVE, "POST /api/unpair", "POST /lock")
    | _rules(Action.DAY_SHEET, "GET /api/sheet")
    | _rules(Action.SEND, "POST /api/sync")
    | _rules(Action.LOOK_BACK, "GET /api/earlier")
    | _rules(Action.COUNTS, "GET /counts")
    | _rules(
        Action.READ_BOOK,
        "GET /",
        "GET /camps",
        "GET /camps/{camp_id}",
        "GET /camps/{camp_id}/agreement",
        "GET /camps/{camp_id}/plan",
        "GET /camps/{camp_id}/next-steps",
        "GET /lab",
        "GET /lab/studio",
        "GET /lab/card.pdf",
        "GET /camps/{camp_id}/blank.pdf",
        "GET /camps/{camp_id}/lists/{name}.{form}",
        "GET /camps/{camp_id}/lists.pdf",
        "GET /camps/{camp_id}/letters.zip",
        "GET /athletes/{athlete_id}",
        "GET /athletes/{athlete_id}/letter",
        "GET /athletes/{athlete_id}/letter.pdf",
        "GET /athletes/{athlete_id}/papers/{kind}",
        "GET /athletes/{athlete_id}/papers/{kind}.pdf",
        "GET /lists",
        "GET /api/squad",
        "GET /api/camps",
        "GET /api/camps/{camp_id}",
        "GET /api/camps/{camp_id}/attempts",
        "GET /api/athletes/{athlete_id}",
        "GET /api/ladder",
        "GET /api/openapi.json",
        "GET /api/lab/presets",
        "POST /api/lab/fly",
        "POST /api/lab/fan",
        "POST /api/lab/compare",
        "POST /api/lab/forgive",
        "GET /api/lab/forgive/{search}",
        "POST /api/lab/forgive/{search}/stop",
        "POST /api/lab/link",
        "GET /api/lab/plan",
    )
    | _rules(
        Action.WRITE_BOOK,
        "GET /camps/new",
        "POST /camps",
        "GET /camps/{camp_id}/describe",
        "POST /camps/{camp_id}/describe",
        "POST /camps/{camp_id}/surfaces",
        "GET /camps/{camp_id}/expected",
        "POST /camps/{camp_id}/expected",
        "GET /entry",
        "GET /camps/{camp_id}/entry",
        "GET /camps/{camp_id}/entry/{athlete_id}",
        "POST /camps/{camp_id}/entry/{athlete_id}",
        "POST /camps/{camp_id}/entry/{athlete_id}/withdraw",
        "POST /camps/{camp_id}/plan",
        "GET /camps/{camp_id}/type",
        "POST /camps/{camp_id}/type",
        "GET /camps/{camp_id}/clashes",
        "POST /camps/{camp_id}/clashes",
        "POST /camps/{camp_id}/clashes/aside",
        "GET /import",
        "POST /import",
        "GET /import/{token}",
        "POST /import/{token}",
        "GET /take-in",
        "POST /take-in",
        "GET /camps/{camp_id}/papers",
        "POST /camps/{camp_id}/papers",
        "POST /camps/{camp_id}/papers/stop",
        "GET /camps/{camp_id}/papers.zip",
        "GET /again",
        "POST /again",
        "GET /answers",
        "POST /answers",
        "GET /athletes/{athlete_id}/answer",
        "POST /athletes/{athlete_id}/answer",
        "GET /athletes/{athlete_id}/answer.html",
        "GET /camps/{camp_id}/from-home",
        "GET /athletes/{athlete_id}/mail",
        "POST /athletes/{athlete_id}/mail",
        "GET /camps/{camp_id}/papers/{kind}.pdf",
        "GET /athletes/{athlete_id}/evidence",
        "POST /athletes/{athlete_id}/evidence",
        "GET /athletes/{athlete_id}/evidence.pdf",
        "GET /api/clashes",
        "POST /api/camps/{camp_id}/attempts",
    )
    | _rules(
        Action.FILM,
        "GET /film",
        "GET /film/{clip_id}",
        "GET /film/{clip_id}/proxy.mp4",
        "GET /film/{clip_id}/take.{form}",
        "GET /film/{clip_id}/beside/{other_id}",
        "POST /film/{clip_id}/again",
        "POST /film/{clip_id}/cancel",
        "POST /film/{clip_id}/speed",
        "POST /film/{clip_id}/bed",
        "POST /film/{clip_id}/delete",
        "GET /attempts/{attempt_id}/film",
        "POST /attempts/{attempt_id}/film",
        "POST /athletes/{athlete_id}/consent",
        "GET /api/film/{clip_id}",
        "GET /api/film/{clip_id}/track",
        "GET /api/film/{clip_id}/job",
        "GET /api/lab/replay",
        "POST /api/film/{clip_id}/points",
        "POST /api/film/{clip_id}/bed",
        "POST /api/film/{clip_id}/speed",
        "POST /api/film/{clip_id}/flight",
        "POST /api/film/{clip_id}/measure",
        "POST /api/film/{clip_id}/cancel",
    )
    | _rules(
        Action.ANSWER_FOR,
        "GET /privacy",
        "GET /athletes/{athlete_id}/privacy",
        "POST /athletes/{athlete_id}/privacy",
        "GET /athletes/{athlete_id}/everything.zip",
        "POST /athletes/{athlete_id}/erase",
    )
    | _rules(
        Action.LET_IN,
        "GET /devices",
        "POST /devices",
        "POST /devices/guests",
        "POST /devices/phrase",
        "POST /devices/{device_id}/out",
    )
)


class NoRule(LoftbookError):
    """An address of the server has no rule about who may see it."""


def guarded(routes: Iterable[BaseRoute]) -> tuple[tuple[BaseRoute, Action], ...]:
    """Each route with its rule; raises NoRule for one without.

    >>> guarded([])
    ()
    """
    found = []
    for route in routes:
        path, methods = getattr(route, "path", ""), set(getattr(route, "methods", None) or ()) - {"HEAD"}
        rules = {RULES.get((method, path)) for method in methods}
        if len(rules) != 1 or None in rules:
            raise NoRule(
                f"the address {path} ({', '.join(sorted(methods))}) without a rule",
                "one rule",
                "say in web/access.py who may see it",
            )
        found.append((route, next(rule for rule in rules if rule is not None)))
    return tuple(found)


def cookie_of(door: Door) -> str:
    """The name of the cookie that holds a device's token, by the door it came in."""
    return "__Host-lb" if door is Door.HALL else "lb"


def door_of(scope: Scope) -> Door:
    """The door of a request; the laptop's, unless a listener in the hall says otherwise."""
    door = scope.get("loftbook.door", Door.LAPTOP)
    assert isinstance(door, Door)
    return door


def at_door(app: ASGIApp, door: Door) -> ASGIApp:
    """The app as it is reached through one listener."""

    async def through(scope: Scope, receive: Receive, send: Send) -> None:
        await app({**scope, "loftbook.door": door}, receive, send)

    return through


@dataclass(frozen=True)
class Known:
    """Who asks, and with which device."""

    visitor: Visitor
    device: Device | None = None
    shut_out: bool = False  # the device was let in once, and is no longer
    desk: Desk | None = None  # of an account: what it may see; None: the book's own


def known(desk: Desk, keyring: Keyring, door: Door, token: str) -> Known:
    """Who asks: the head coach at the laptop, a device that was let in, or nobody."""
    if door is Door.LAPTOP:
        open_ = not has_phrase(desk) or keyring.fits(token)
        return Known(Visitor(Role.HEAD_COACH if open_ else None, here=True, name="this laptop"))
    return _of_the_hall(desk, device_of(desk, token), private=door is Door.HALL)


def _of_the_hall(desk: Desk, device: Device | None, *, private: bool) -> Known:
    if device is None or (not private and not device.guest):
        return Known(Visitor(private=private))
    if not device.stands(desk.clock()):
        return Known(Visitor(private=private), shut_out=True)
    return Known(Visitor(device.role, private=private, device=device.id, name=device.name), device)


_ROLES = {Sees.COACH: Role.READ, Sees.PROGRAMME: Role.PROGRAMME}


class Gate:
    """Lets a request through to its address, or says why not; what has no rule it never lets through."""

    def __init__(
        self, app: ASGIApp, *, rules: tuple[tuple[BaseRoute, Action], ...], desk: Desk, keyring: Keyring
    ) -> None:
        self._app, self._rules, self._desk, self._keyring = app, rules, desk, keyring
        self._plain = self._addresses_without_names()
        self._accounts = AccountDesks(desk)

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Answer for the app where its rule says no."""
        if scope["type"] != "http":
            await self._app(scope, receive, send)
            return
        request = Request(scope)
        door = door_of(scope)
        action = self._asked(scope)
        try:
            who = await self._known(door, request.cookies.get(cookie_of(door), ""))
        except LoftbookError as error:
            await fault_answer(request, fault_of(error))(scope, receive, send)
            return
        scope.setdefault("state", {}).update(known=who, chapters=self._chapters(who.visitor))
        why = may(who.visitor, action) if action is not None else Why.NOTHING
        if why is Why.NOTHING:
            await self._app(scope, receive, send)
        else:
            await _refusal(request, who, why)(scope, receive, send)

    def _chapters(self, visitor: Visitor) -> tuple[tuple[str, str], ...]:
        """The parts of the book that she may open; to a device that was not let in not even their names are told."""
        if visitor.role is None:
            return ()
        if visitor.role is Role.PROGRAMME:
            return (("/counts", "Counts"), ("/cautions", "Cautions"))
        return tuple(one for one in CHAPTERS if may(visitor, RULES["GET", one[0]]) is Why.NOTHING)

    async def _known(self, door: Door, token: str) -> Known:
        """Who asks; forty devices at once are looked up without a thread for each."""
        if door is not Door.LAPTOP:
            try:
                return _of_the_hall(self._desk, device_at_once(self._desk, token), private=door is Door.HALL)
            except BlockingIOError:
                pass
        elif (account := self._keyring.account(token)) is not None:
            return await run_in_threadpool(self._with_a_key, account)
        return await run_in_threadpool(known, self._desk, self._keyring, door, token)

    def _with_a_key(self, account_id: UUID) -> Known:
        """Who came in with the key of an account: she reads, and through her own desk only."""
        found = self._accounts.of(account_id)
        if found is None:
            return Known(Visitor(None, here=True))
        account, desk = found
        return Known(Visitor(_ROLES[account.sees], here=True, name=account.name), desk=desk)

    def _asked(self, scope: Scope) -> Action | None:
        """What the address asks for; None where there is no such address, which answers 404 or 405."""
        plain = self._plain.get((scope["method"], scope["path"]))
        return self._looked_up(scope) if plain is None else plain

    def _looked_up(self, scope: Scope) -> Action | None:
        for route, action in self._rules:
            if route.matches(scope)[0] is Match.FULL:
                return action
        return None

    def _addresses_without_names(self) -> Mapping[tuple[str, str], Action]:
        """The addresses that are the same for all, such as /api/sync, each looked up once."""
        found = {}
        for route, _ in self._rules:
            path = getattr(route, "path", "{")
            for method in getattr(route, "methods", None) or () if "{" not in path else ():
                scope = {"type": "http", "method": method, "path": path, "root_path": "", "headers": []}
                if (action := self._looked_up(scope)) is not None:
                    found[method, path] = action
        return MappingProxyType(found)


def _refusal(request: Request, who: Known, why: Why) -> Response:
    page = request.method == "GET" and not wants_json(request)
    if page and why is Why.NOBODY:
        return RedirectResponse("/unlock" if who.visitor.here else "/pair", 303)
    if page and who.visitor.role is Role.ENTRY and request.url.path == "/":
        return RedirectResponse("/gym", 303)
    if page and who.visitor.role is Role.PROGRAMME and request.url.path == "/":
        return RedirectResponse("/counts", 303)
    code, fault = ("revoked", _SHUT_OUT) if who.shut_out else _FAULTS[why]
    if wants_json(request):
        return JSONResponse({"title": fault.title, "error": fault.sentence, "code": code}, fault.status)
    return fault_answer(request, fault)


_SHUT_OUT = Fault(
    401,
    "No longer let in",
    "This device is no longer let in. Nothing on it is lost: what waits here can be saved to a file and taken in at "
    "the laptop. What to do: save the waiting results to a file, or ask the head coach for a new code.",
)
_FAULTS: Mapping[Why, tuple[str, Fault]] = {
    Why.NOBODY: (
        "unknown_device",
        Fault(
            401,
            "Not let in yet",
            "Nobody has let this device in. What to do: ask the head coach at the laptop for a code, and type it on "
            "the page /pair.",
        ),
    ),
    Why.ROLE: (
        "not_for_this_role",
        Fault(
            403,
            "Not for this role",
            "This device was let in for something else. What to do: ask the head coach, who can let it in for another "
            "role.",
        ),
    ),
    Why.OPEN_LINE: (
        "open_line",
        Fault(
            403,
            "Not over this line",
            "Others in the hall could read this, because the device has no certificate. What to do: install it as the "
            "page /hello says, or look at the laptop.",
        ),
    ),
    Why.NOT_HERE: (
        "not_here",
        Fault(403, "At the laptop only", "This is done at the laptop itself. What to do: go to the laptop."),
    ),
}


async def known_of(request: Request) -> Known:  # a plain one would be called in a thread of its own
    """Who asks, as the gate found out."""
    who: Known = request.state.known
    return who


Asking = Annotated[Known, Depends(known_of)]


def set_token(answer: Response, door: Door, token: str, *, seconds: int) -> None:
    """Gives a device its token in a cookie that no script can read and no other site can send."""
    answer.set_cookie(
        cookie_of(door),
        token,
        max_age=seconds,
        httponly=True,
        samesite="strict",
        secure=door is Door.HALL,
        path="/",
    )


def drop_token(answer: Response, door: Door) -> None:
    """Takes the cookie away."""
    answer.delete_cookie(
        cookie_of(door), httponly=True, samesite="strict", secure=door is Door.HALL, path="/"
    )
