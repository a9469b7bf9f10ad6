"""A device shows its code: the picture's secret is read by the page's script, a short code is typed."""

from __future__ import annotations

from typing import Annotated

from fastapi import APIRouter, Depends
from starlette.datastructures import FormData
from starlette.requests import Request
from starlette.responses import RedirectResponse, Response

from loftbook.book.access import Role
from loftbook.errors import Refused
from loftbook.web.access import Asking, Door, door_of
from loftbook.web.api.device import TOO_MANY, by_code, give, tries_left
from loftbook.web.forms import posted, text
from loftbook.web.rendering import render

router = APIRouter(include_in_schema=False)


@router.get("/pair")
def pair_page(request: Request, who: Asking) -> Response:
    """Where a code is typed."""
    return _page(request, who.shut_out)


@router.post("/pair")
def paired_page(request: Request, form: Annotated[FormData, Depends(posted)], who: Asking) -> Response:
    """Lets this device in and goes to where it works."""
    wait = tries_left(request)
    if wait:
        answer = _page(request, who.shut_out, fault=TOO_MANY.format(wait=wait), status=429)
        answer.headers["Retry-After"] = str(wait)
        return answer
    try:
        made = by_code(request, secret="", code=text(form, "code"), name="")
    except Refused as refused:
        return _page(request, who.shut_out, fault=refused.sentence(), status=403)
    answer = RedirectResponse("/" if made.device.role is Role.READ else "/gym", 303)
    give(answer, request, made)
    return answer


def _page(request: Request, shut_out: bool, *, fault: str = "", status: int = 200) -> Response:  # noqa: FBT001
    return render(
        request,
        "pages/pair/template.html",
        status=status,
        fault=fault,
        shut_out=shut_out,
        private=door_of(request.scope) is not Door.OPEN,
    )
