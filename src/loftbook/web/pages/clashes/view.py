"""What waits for the head coach: two versions of one turn, and records that were set aside."""

from __future__ import annotations

from typing import Annotated
from uuid import UUID

from fastapi import APIRouter, Depends
from starlette.datastructures import FormData
from starlette.requests import Request
from starlette.responses import RedirectResponse, Response

from loftbook.desk import Desk
from loftbook.desk.clashes import open_clashes, settle, settle_aside
from loftbook.desk.people import find_camp
from loftbook.errors import LoftbookError, Refused
from loftbook.web.forms import identity, posted, text
from loftbook.web.rendering import AtDesk, render

router = APIRouter(include_in_schema=False)
_Form = Annotated[FormData, Depends(posted)]


@router.get("/camps/{camp_id}/clashes")
def clashes_page(request: Request, desk: AtDesk, camp_id: UUID) -> Response:
    """All that is open at this camp."""
    return _page(request, desk, camp_id)


@router.post("/camps/{camp_id}/clashes")
def settle_page(request: Request, desk: AtDesk, camp_id: UUID, form: _Form) -> Response:
    """The head coach says which version stands."""
    original, keep = identity(form, "original"), identity(form, "keep")
    try:
        if original is None or not (keep or text(form, "keep") == "none"):
            raise Refused("no version", "one of those shown, or none", "choose one")
        settle(desk, original, keep=keep, by=text(form, "by"), camp=camp_id)
    except LoftbookError as error:
        return _page(request, desk, camp_id, fault=error.sentence())
    return RedirectResponse(f"/camps/{camp_id}/clashes", 303)


@router.post("/camps/{camp_id}/clashes/aside")
def settle_aside_page(request: Request, desk: AtDesk, camp_id: UUID, form: _Form) -> Response:
    """What becomes of a record that was set aside."""
    row = text(form, "row")
    try:
        if not row.isdecimal() or len(row) > 15:
            raise Refused("no record", "one of those shown", "reload the page")
        settle_aside(desk, int(row), how=text(form, "how"), by=text(form, "by"), camp=camp_id)
    except LoftbookError as error:
        return _page(request, desk, camp_id, fault=error.sentence())
    return RedirectResponse(f"/camps/{camp_id}/clashes", 303)


def _page(request: Request, desk: Desk, camp_id: UUID, *, fault: str = "") -> Response:
    camp = find_camp(desk, str(camp_id))
    return render(
        request,
        "pages/clashes/template.html",
        status=422 if fault else 200,
        fault=fault,
        camp=camp,
        open=open_clashes(desk, camp_id),
        rungs={rung.key: rung for rung in desk.ladder.rungs},
        invented=camp.invented,
    )
