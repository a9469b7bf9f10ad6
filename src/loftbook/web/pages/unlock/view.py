"""The pass phrase at the laptop, where one is set."""

from __future__ import annotations

from typing import Annotated

from fastapi import APIRouter, Depends
from starlette.datastructures import FormData
from starlette.requests import Request
from starlette.responses import RedirectResponse, Response

from loftbook.desk.accounts import account_of_key
from loftbook.desk.devices import is_phrase
from loftbook.web.access import Door, cookie_of, door_of, drop_token, set_token
from loftbook.web.forms import posted, text
from loftbook.web.rendering import keeper_of, render

router = APIRouter(include_in_schema=False)
_A_DAY = 24 * 3600


@router.get("/unlock")
def unlock_page(request: Request) -> Response:
    """Where the pass phrase is typed."""
    if door_of(request.scope) is not Door.LAPTOP:
        return RedirectResponse("/pair", 303)
    return render(request, "pages/unlock/template.html", fault="")


@router.post("/unlock")
def unlocked_page(request: Request, form: Annotated[FormData, Depends(posted)]) -> Response:
    """Opens the book to whoever knows the pass phrase, or has the key of an account; five tries a minute."""
    if door_of(request.scope) is not Door.LAPTOP:
        return RedirectResponse("/pair", 303)
    wait = request.app.state.phrase_tries.wait("laptop")
    if wait:
        fault = f"Too many tries. What to do: wait {wait} seconds, then try again."
        answer: Response = render(request, "pages/unlock/template.html", status=429, fault=fault)
        answer.headers["Retry-After"] = str(wait)
        return answer
    desk, typed = keeper_of(request), text(form, "phrase")
    account = account_of_key(desk, typed)
    if account is None and not is_phrase(desk, typed):
        fault = (
            "That is neither the pass phrase nor a key. What to do: type it again; capitals and spaces count."
        )
        return render(request, "pages/unlock/template.html", status=403, fault=fault)
    answer = RedirectResponse("/", 303)
    set_token(
        answer, Door.LAPTOP, request.app.state.keyring.new(account.id if account else None), seconds=_A_DAY
    )
    return answer


@router.post("/lock")
def lock_page(request: Request) -> Response:
    """Closes the book again on this browser."""
    request.app.state.keyring.drop(request.cookies.get(cookie_of(Door.LAPTOP), ""))
    answer = RedirectResponse("/unlock", 303)
    drop_token(answer, door_of(request.scope))
    return answer
