"""All papers of a camp: what will be made, how far it is, and the file; nothing is sent."""

from __future__ import annotations

from typing import Annotated
from uuid import UUID

from fastapi import APIRouter, Depends
from starlette.datastructures import FormData
from starlette.requests import Request
from starlette.responses import RedirectResponse, Response

from loftbook.desk import Desk
from loftbook.desk.batch import FOR_A_CAMP, FOR_A_CHILD
from loftbook.desk.letters import whose_letters
from loftbook.desk.press import Press
from loftbook.errors import LoftbookError
from loftbook.web.forms import posted, text
from loftbook.web.rendering import AtDesk, render

router = APIRouter(include_in_schema=False)
_Form = Annotated[FormData, Depends(posted)]
_SECONDS = 2  # until the page looks again while papers are being made


def press_of(request: Request) -> Press:
    """The one press of this program."""
    state = request.app.state
    if not hasattr(state, "press"):
        state.press = Press()
    press: Press = state.press
    return press


@router.get("/camps/{camp_id}/papers")
def press_page(request: Request, desk: AtDesk, camp_id: UUID) -> Response:
    """Which papers, how far they are; the page looks again by itself until they are made."""
    return _page(request, desk, camp_id)


@router.post("/camps/{camp_id}/papers")
def begin_page(request: Request, desk: AtDesk, camp_id: UUID, form: _Form) -> Response:
    """Begin to make them."""
    try:
        press_of(request).begin(desk, camp_id, text(form, "paper") or "a4")
    except LoftbookError as error:
        return _page(request, desk, camp_id, fault=error.sentence())
    return RedirectResponse(f"/camps/{camp_id}/papers", 303)


@router.post("/camps/{camp_id}/papers/stop")
def stop_page(request: Request, camp_id: UUID) -> Response:
    """Give them up."""
    press_of(request).stop(camp_id)
    return RedirectResponse(f"/camps/{camp_id}/papers", 303)


@router.get("/camps/{camp_id}/papers.zip")
def press_file(request: Request, camp_id: UUID) -> Response:
    """All of them in one file."""
    headers = {"Content-Disposition": 'attachment; filename="papers.zip"'}
    return Response(press_of(request).packed(camp_id), media_type="application/zip", headers=headers)


def _page(request: Request, desk: Desk, camp_id: UUID, *, fault: str = "") -> Response:
    camp, athletes = whose_letters(desk, camp_id)
    run = press_of(request).look(camp_id)
    answer = render(
        request,
        "pages/press/template.html",
        status=422 if fault else 200,
        camp=camp,
        athletes=athletes,
        run=run,
        kinds=FOR_A_CHILD,
        own=list(FOR_A_CAMP),
        fault=fault,
        invented=camp.invented,
    )
    if run and run.state == "running":
        answer.headers["Refresh"] = str(_SECONDS)
    return answer
