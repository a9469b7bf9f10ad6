"""Errors as answers: a page with a sentence and the way on, or the same as JSON."""

from __future__ import annotations

from dataclasses import dataclass

from fastapi import FastAPI
from fastapi.exceptions import RequestValidationError
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import JSONResponse, Response

from loftbook.errors import (
    AmbiguousThing,
    BookFileError,
    LoftbookError,
    UnknownThing,
)
from loftbook.web.rendering import render


@dataclass(frozen=True)
class Fault:
    """What went wrong, as an HTTP status, a short title and a whole sentence."""

    status: int
    title: str
    sentence: str


_KINDS: tuple[tuple[type[LoftbookError], int, str], ...] = (
    (UnknownThing, 404, "Not in the book"),
    (AmbiguousThing, 409, "More than one"),
    (BookFileError, 503, "The book’s file"),
    (LoftbookError, 422, "Not as it stands"),
)
_NOT_FOUND = Fault(
    404,
    "No such page",
    "There is no page at this address. What to do: go back to the squad and start from there.",
)
# What the framework says in its own words, said in ours.
_OF_HTTP = {
    400: Fault(
        400,
        "Cannot be read",
        "What was sent cannot be read, so nothing was written. What to do: send it again from the page itself; a "
        "program sends JSON in UTF-8.",
    ),
    404: _NOT_FOUND,
    405: Fault(
        405,
        "Not in this way",
        "This address cannot be asked in this way. What to do: go back and use the page’s own links and keys.",
    ),
}
_BROKEN = Fault(
    500,
    "A fault in Loftbook",
    "Something went wrong inside Loftbook while it made this page. What was written before is in the book; what "
    "you just sent may not be. What to do: go back, look whether it is there, and send it again if not.",
)


def fault_of(error: LoftbookError) -> Fault:
    """The fault that a house error is on the web.

    >>> fault_of(UnknownThing("nobody of that name")).status
    404
    """
    status, title = next((code, name) for kind, code, name in _KINDS if isinstance(error, kind))
    return Fault(status, title, error.sentence())


def fault_answer(request: Request, fault: Fault) -> Response:
    """The fault as a page for people, as JSON for programs."""
    if wants_json(request):
        return JSONResponse({"error": fault.sentence, "title": fault.title}, fault.status)
    return render(request, "frame/fault.html", status=fault.status, fault=fault)


def wants_json(request: Request) -> bool:
    """Whether a program asks: under /api always, elsewhere when it accepts JSON and no page."""
    accept = request.headers.get("accept", "")
    return request.url.path.startswith("/api/") or ("json" in accept and "html" not in accept)


def install_faults(app: FastAPI) -> None:
    """One place that turns errors into answers."""

    @app.exception_handler(LoftbookError)
    def of_the_house(request: Request, error: LoftbookError) -> Response:
        return fault_answer(request, fault_of(error))

    @app.exception_handler(RequestValidationError)
    def of_the_form(request: Request, error: RequestValidationError) -> Response:
        return fault_answer(request, _validation_fault(request, error))

    @app.exception_handler(HTTPException)
    def of_http(request: Request, error: HTTPException) -> Response:
        told = Fault(error.status_code, "Not as it stands", str(error.detail))
        fault = _OF_HTTP.get(error.status_code, told)
        answer = fault_answer(request, fault)
        answer.headers.update(error.headers or {})
        return answer

    @app.exception_handler(Exception)
    def of_ours(request: Request, error: Exception) -> Response:  # noqa: ARG001  the log has it
        return fault_answer(request, _BROKEN)


def _validation_fault(request: Request, error: RequestValidationError) -> Fault:
    first = error.errors()[0]
    place = [str(part) for part in first["loc"]]
    if place[0] == "path" and not wants_json(request):
        return _NOT_FOUND
    where = ".".join(place[1:]) or place[0]
    return Fault(
        422,
        "Not as it stands",
        f"Found something in {where} that cannot stand there ({first['msg']}); nothing was written. "
        "What to do: go back and fill it in again.",
    )
