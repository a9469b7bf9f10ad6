"""The list of camps, and the form for a new one."""

from __future__ import annotations

from typing import Annotated

from fastapi import APIRouter, Depends
from starlette.datastructures import FormData
from starlette.requests import Request
from starlette.responses import RedirectResponse, Response

from loftbook.desk import Desk
from loftbook.desk.camps import make_camp
from loftbook.desk.people import all_camps
from loftbook.errors import Refused
from loftbook.web.forms import posted
from loftbook.web.pages.camps.fields import SURFACES, camp_of
from loftbook.web.rendering import AtDesk, render

router = APIRouter(include_in_schema=False)


@router.get("/camps")
def camps_page(request: Request, desk: AtDesk) -> Response:
    """Every camp, newest first."""
    camps = all_camps(desk)
    return render(
        request, "pages/camps/template.html", camps=camps, invented=any(camp.invented for camp in camps)
    )


@router.get("/camps/new")
def new_camp_page(request: Request, desk: AtDesk) -> Response:
    """An empty form for a new camp."""
    return _form(request, desk, FormData())


@router.post("/camps")
def make_camp_page(request: Request, desk: AtDesk, form: Annotated[FormData, Depends(posted)]) -> Response:
    """Make the camp and go to where it is said who is expected."""
    try:
        camp = make_camp(desk, camp_of(form))
    except Refused as refused:
        return _form(request, desk, form, status=422, fault=refused.sentence())
    return RedirectResponse(f"/camps/{camp.id}/expected", 303)


def _form(request: Request, desk: Desk, form: FormData, *, status: int = 200, fault: str = "") -> Response:
    return render(
        request,
        "pages/camps/new.html",
        status=status,
        fault=fault,
        typed=form,
        ladder=desk.ladder,
        **SURFACES,
    )
