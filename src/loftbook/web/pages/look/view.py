"""Keeps the look that a reader chose on this device."""

from __future__ import annotations

from typing import Annotated

from fastapi import APIRouter, Depends
from starlette.datastructures import FormData
from starlette.responses import RedirectResponse

from loftbook.web.forms import posted, text
from loftbook.web.rendering import LOOKS

router = APIRouter(include_in_schema=False)

_A_YEAR = 365 * 24 * 3600


@router.post("/look")
def choose_look(form: Annotated[FormData, Depends(posted)]) -> RedirectResponse:
    """Remember the look and go back to where the reader was."""
    look, back = text(form, "look"), text(form, "back")
    # Only a path of ours: "//elsewhere" and "/\elsewhere" would leave this site.
    inside = back.startswith("/") and not back.startswith(("//", "/\\"))
    answer = RedirectResponse(back if inside and back.isprintable() else "/", 303)
    answer.set_cookie(
        "look", look if look in LOOKS else "device", max_age=_A_YEAR, httponly=True, samesite="strict"
    )
    return answer
