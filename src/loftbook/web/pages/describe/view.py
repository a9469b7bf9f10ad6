"""Putting a camp right: name, days, hall, surfaces; and the one step that confirms assumed surfaces."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Annotated, Any
from uuid import UUID

from fastapi import APIRouter, Depends
from starlette.datastructures import FormData
from starlette.requests import Request
from starlette.responses import RedirectResponse, Response

from loftbook.desk import Desk
from loftbook.desk.camps import confirm_surfaces, described, put_camp_right
from loftbook.errors import LoftbookError
from loftbook.web.forms import posted, text
from loftbook.web.pages.camps.fields import SURFACES, camp_of, fields_of
from loftbook.web.rendering import AtDesk, render

router = APIRouter(include_in_schema=False)
_Form = Annotated[FormData, Depends(posted)]


@router.get("/camps/{camp_id}/describe")
def describe_page(request: Request, desk: AtDesk, camp_id: UUID) -> Response:
    """The camp as it is described, to be put right."""
    return _page(request, desk, camp_id)


@router.post("/camps/{camp_id}/describe")
def put_right_page(request: Request, desk: AtDesk, camp_id: UUID, form: _Form) -> Response:
    """Describe the camp anew, or say what cannot be."""
    try:
        camp = camp_of(form, camp_id)
        put_camp_right(desk, camp, by=text(form, "by"), turns_too=bool(text(form, "turns_too")))
    except LoftbookError as error:
        return _page(request, desk, camp_id, typed=form, fault=error.sentence())
    return RedirectResponse(f"/camps/{camp_id}", 303)


@router.post("/camps/{camp_id}/surfaces")
def confirm_page(desk: AtDesk, camp_id: UUID, form: _Form) -> RedirectResponse:
    """The assumed surfaces are right: one touch."""
    confirm_surfaces(desk, camp_id, by=text(form, "by") or "the coach at this page")
    return RedirectResponse(f"/camps/{camp_id}", 303)


def _page(
    request: Request, desk: Desk, camp_id: UUID, *, typed: Mapping[str, Any] | None = None, fault: str = ""
) -> Response:
    found = described(desk, camp_id)
    return render(
        request,
        "pages/describe/template.html",
        status=422 if fault else 200,
        fault=fault,
        found=found,
        typed=fields_of(found.camp) if typed is None else typed,
        invented=found.camp.invented,
        **SURFACES,
    )
