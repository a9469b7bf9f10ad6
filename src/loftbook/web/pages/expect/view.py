"""Who is expected at a camp: everybody in the book, ticked where she is expected, each with her number."""

from __future__ import annotations

from typing import Annotated
from uuid import UUID

from fastapi import APIRouter, Depends
from starlette.datastructures import FormData
from starlette.requests import Request
from starlette.responses import RedirectResponse, Response

from loftbook.desk import Desk
from loftbook.desk.expecting import expect, expecting
from loftbook.errors import LoftbookError
from loftbook.web.forms import posted, text
from loftbook.web.rendering import AtDesk, render

router = APIRouter(include_in_schema=False)
_HERE, _BIB = "here_", "bib_"


@router.get("/camps/{camp_id}/expected")
def expected_page(request: Request, desk: AtDesk, camp_id: UUID) -> Response:
    """The list to tick; the ticks are what was said, or a proposal."""
    return _page(request, desk, camp_id)


@router.post("/camps/{camp_id}/expected")
def say_expected_page(
    request: Request, desk: AtDesk, camp_id: UUID, form: Annotated[FormData, Depends(posted)]
) -> Response:
    """Keep the list and go to where results are written."""
    try:
        who = _named(form, _HERE)
        expect(desk, camp_id, who, bibs={one: text(form, f"{_BIB}{one}") for one in who})
    except LoftbookError as error:
        return _page(request, desk, camp_id, fault=error.sentence(), form=form)
    return RedirectResponse(f"/camps/{camp_id}/entry", 303)


def _named(form: FormData, start: str) -> tuple[UUID, ...]:
    found = []
    for name in form:
        if name.startswith(start):
            try:
                found.append(UUID(name.removeprefix(start)))
            except ValueError:
                continue
    return tuple(found)


def _page(
    request: Request, desk: Desk, camp_id: UUID, *, fault: str = "", form: FormData | None = None
) -> Response:
    found = expecting(desk, camp_id)
    typed = form or FormData()
    return render(
        request,
        "pages/expect/template.html",
        status=422 if fault else 200,
        fault=fault,
        found=found,
        ticked=found.who if form is None else frozenset(_named(form, _HERE)),
        bibs=found.bibs if form is None else {a.id: text(typed, f"{_BIB}{a.id}") for a in found.everyone},
        invented=found.camp.invented,
    )
