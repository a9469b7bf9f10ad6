"""The list of camps, and the form for a new one."""

from __future__ import annotations

from typing import Annotated
from uuid import UUID

from fastapi import APIRouter, Depends
from starlette.datastructures import FormData
from starlette.requests import Request
from starlette.responses import RedirectResponse, Response

from loftbook.book.people import Camp
from loftbook.desk import Desk
from loftbook.desk.people import all_camps, make_camp
from loftbook.errors import Refused
from loftbook.ladder.scales import Landing, TakeOff
from loftbook.web.forms import day, posted, text
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
    """Make the camp and go to where its results are written."""
    try:
        camp = make_camp(desk, _camp(form))
    except Refused as refused:
        return _form(request, desk, form, status=422, fault=refused.sentence())
    return RedirectResponse(f"/camps/{camp.id}/entry", 303)


def _camp(form: FormData) -> Camp:
    starts = day(form, "starts", "the first day")
    return Camp(
        id=UUID(int=0),
        name=text(form, "name"),
        starts=starts,
        ends=day(form, "ends", "the last day") if text(form, "ends") else starts,
        edition="",
        place=text(form, "place"),
        bed=text(form, "bed"),
        take_off=text(form, "take_off"),
        landing=text(form, "landing"),
        raters=tuple(name.strip() for name in text(form, "raters").split(",") if name.strip()),
    )


def _form(request: Request, desk: Desk, form: FormData, *, status: int = 200, fault: str = "") -> Response:
    return render(
        request,
        "pages/camps/new.html",
        status=status,
        fault=fault,
        typed=form,
        ladder=desk.ladder,
        take_offs=tuple(TakeOff),
        landings=tuple(Landing),
    )
