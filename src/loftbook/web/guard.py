"""What stands before every page: which host it was called by, who sends a form, how large it is.

A page on the open network can make a browser call a server on its own machine. So
only known host names are answered (a foreign name that points at this machine is
refused), and nothing is written for a form that another site sent. Every answer
leaves with headers that forbid foreign scripts, frames and guesses at its type.

Source: Fetch Metadata Request Headers (W3C), Content Security Policy Level 3 (W3C),
RFC 9110 for the statuses.
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from urllib.parse import urlsplit

from starlette.datastructures import Headers
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from loftbook.web.access import Door, door_of
from loftbook.web.faults import Fault, fault_answer

LOOPBACK = ("localhost", "127.0.0.1", "::1")
LARGEST_UPLOAD = 10_000_000  # bytes; a list of 500 rows has about 60 thousand
LARGEST_FILM = 2_001_000_000  # bytes; a film goes to disk piece by piece, and its form needs a little room
_FILMS = re.compile(r"/attempts/[^/]+/film")
_DRAINED = 1_000_000_000  # so much is read and thrown away, so that the browser shows our sentence
_SAFE = frozenset({"GET", "HEAD", "OPTIONS", "TRACE"})

POLICY = (
    "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self'; font-src 'self'; "
    "media-src 'self'; connect-src 'self'; manifest-src 'self'; form-action 'self'; base-uri 'none'; "
    "frame-ancestors 'none'"
)
# "same-origin" and not "no-referrer": with the latter a browser sends `Origin: null` with our own forms.
HEADERS = {
    "Content-Security-Policy": POLICY,
    "X-Content-Type-Options": "nosniff",
    "X-Frame-Options": "DENY",
    "Referrer-Policy": "same-origin",
    "Cross-Origin-Opener-Policy": "same-origin",
    "Cross-Origin-Resource-Policy": "same-origin",
    "Permissions-Policy": "camera=(), microphone=(), geolocation=()",
}

_OURS = {name.lower().encode(): value.encode() for name, value in HEADERS.items()}
_NOT_KEPT = ((b"cache-control", b"no-store"),)

STRANGE_HOST = Fault(
    421,
    "Not this address",
    "This address is not one that Loftbook answers to. What to do: open it as http://localhost and the "
    "port that the window of the program shows.",
)
FOREIGN_FORM = Fault(
    403,
    "Not sent from here",
    "This was sent from another site, so nothing was written. What to do: open the page in Loftbook itself "
    "and send it from there.",
)
TOO_LARGE = Fault(
    413,
    "Too large",
    f"This file is larger than {LARGEST_UPLOAD // 1_000_000} MB, and a camp list is a few kilobytes; nothing "
    "was read. What to do: save only the sheet with the list as CSV or XLSX and choose that file.",
)


TOO_LARGE_FILM = Fault(
    413,
    "Too large",
    f"This film is larger than {LARGEST_FILM // 1_000_000} MB; nothing was kept. What to do: cut it to the jump on the "
    "phone, and send that.",
)


class Guard:
    """Refuses strange hosts, foreign forms and oversized bodies; adds the headers to each answer."""

    def __init__(
        self,
        app: ASGIApp,
        *,
        hosts: Iterable[str] = LOOPBACK,
        hall_hosts: Iterable[str] = (),
        largest: int = LARGEST_UPLOAD,
    ) -> None:
        self._app = app
        self._hosts = frozenset(host.casefold() for host in hosts)
        self._hall_hosts = frozenset(host.casefold() for host in hall_hosts)
        self._largest = largest

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Let the request through, or answer it here."""
        if scope["type"] != "http":
            await self._app(scope, receive, send)
            return
        film = scope["method"] == "POST" and _FILMS.fullmatch(scope["path"]) is not None
        largest, too_large = (LARGEST_FILM, TOO_LARGE_FILM) if film else (self._largest, TOO_LARGE)
        fault = self._fault(scope, largest, too_large)
        if fault is too_large:
            await _drain(receive)
        if fault is not None:
            await fault_answer(Request(scope), fault)(scope, receive, _with_headers(send))
            return
        await self._app(scope, _counted(receive, largest), _with_headers(send))

    def _fault(self, scope: Scope, largest: int, too_large: Fault) -> Fault | None:
        headers = Headers(scope=scope)
        # Each door has names of its own: a name of the hall must not open the laptop's.
        hosts = self._hosts if door_of(scope) is Door.LAPTOP else self._hall_hosts
        if host_name(headers.get("host", "")) not in hosts:
            return STRANGE_HOST
        if scope["method"] not in _SAFE and is_foreign(headers):
            return FOREIGN_FORM
        length = headers.get("content-length", "0")
        if length.isdigit() and int(length) > largest:
            return too_large
        return None


class BodyTooLarge(HTTPException):
    """A body without a stated length went on past the limit."""

    def __init__(self) -> None:
        super().__init__(TOO_LARGE.status, TOO_LARGE.sentence)


def host_name(host: str) -> str:
    """The name in a Host header, without its port.

    >>> host_name("localhost:8000"), host_name("[::1]:8000"), host_name("evil.example")
    ('localhost', '::1', 'evil.example')
    """
    if host.startswith("["):
        return host[1:].partition("]")[0].casefold()
    return host.partition(":")[0].casefold()


def is_foreign(headers: Headers) -> bool:
    """Whether a browser says that another site sent this; a program that says nothing is none.

    >>> is_foreign(Headers({"host": "localhost:8000", "origin": "http://localhost:8000"}))
    False
    >>> is_foreign(Headers({"host": "localhost:8000", "sec-fetch-site": "cross-site"}))
    True
    """
    site = headers.get("sec-fetch-site")
    if site is not None:
        return site not in ("same-origin", "none")
    origin = headers.get("origin")
    return origin is not None and urlsplit(origin).netloc != headers.get("host", "")


async def _drain(receive: Receive) -> None:
    read = 0
    while read < _DRAINED:
        message = await receive()
        read += len(message.get("body", b""))
        if message["type"] != "http.request" or not message.get("more_body"):
            return


def _counted(receive: Receive, largest: int) -> Receive:
    read = 0

    async def counting() -> Message:
        nonlocal read
        message = await receive()
        read += len(message.get("body", b""))
        if read > largest:
            if message.get("more_body"):
                await _drain(receive)
            raise BodyTooLarge
        return message

    return counting


def _with_headers(send: Send) -> Send:
    async def sending(message: Message) -> None:
        if message["type"] == "http.response.start":
            own = [pair for pair in message.get("headers", ()) if pair[0] not in _OURS]
            fresh = () if any(name == b"cache-control" for name, _ in own) else _NOT_KEPT
            message = {**message, "headers": [*own, *_OURS.items(), *fresh]}
        await send(message)

    return sending
