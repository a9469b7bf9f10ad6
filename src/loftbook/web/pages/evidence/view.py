"""The evidence for one rung, and the decision of a named person as a fact. For head coaches."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date
from typing import Annotated, Any
from urllib.parse import quote
from uuid import UUID

from fastapi import APIRouter, Depends
from starlette.datastructures import FormData
from starlette.requests import Request
from starlette.responses import RedirectResponse, Response

from loftbook.book.deciding import Decided
from loftbook.desk import Desk
from loftbook.desk.evidence import Deciding, decide, evidence_answer, evidence_pdf
from loftbook.desk.people import athlete
from loftbook.desk.printing import file_name
from loftbook.errors import LoftbookError, Refused
from loftbook.web.forms import day, identity, posted, text
from loftbook.web.rendering import AtDesk, render

router = APIRouter(include_in_schema=False)
_Form = Annotated[FormData, Depends(posted)]


@router.get("/athletes/{athlete_id}/evidence")
def evidence_page(request: Request, desk: AtDesk, athlete_id: UUID, rung: str = "") -> Response:
    """What lies on the table for a rung, the next of hers where none is named."""
    return _page(request, desk, athlete_id, rung[:100])


@router.post("/athletes/{athlete_id}/evidence")
def decide_page(request: Request, desk: AtDesk, athlete_id: UUID, form: _Form) -> Response:
    """Writes the decision down, or says what is missing of it."""
    rung = text(form, "rung")
    try:
        decide(desk, athlete_id, rung, _given(form))
    except LoftbookError as error:
        return _page(request, desk, athlete_id, rung, typed=form, fault=error.sentence())
    return RedirectResponse(f"/athletes/{athlete_id}/evidence?rung={quote(rung, safe='')}#decision", 303)


@router.get("/athletes/{athlete_id}/evidence.pdf")
def evidence_file(desk: AtDesk, athlete_id: UUID, rung: str = "", paper: str = "a4") -> Response:
    """The same as PDF."""
    name = file_name("evidence", athlete(desk, athlete_id))
    return Response(
        evidence_pdf(desk, athlete_id, rung[:100], paper=paper),
        media_type="application/pdf",
        headers={"Content-Disposition": f'attachment; filename="{name}"'},
    )


def _given(form: FormData) -> Deciding:
    replaces = identity(form, "replaces")
    if replaces is None and text(form, "replaces"):  # a correction must not become a second decision
        raise Refused("no id of the decision to correct", "one that the page shows", "reload the page")
    on: date | None = day(form, "on", "the day of the decision") if text(form, "on") else None
    return Deciding(
        decided=text(form, "decided"),
        by=text(form, "by"),
        qualified=text(form, "qualified"),
        reason=text(form, "reason"),
        review=day(form, "review", "the day on which it is looked at again"),
        on=on,
        replaces=replaces,
    )


def _page(
    request: Request,
    desk: Desk,
    athlete_id: UUID,
    rung: str,
    *,
    typed: Mapping[str, Any] | None = None,
    fault: str = "",
) -> Response:
    answer = evidence_answer(desk, athlete_id, rung)
    return render(
        request,
        "pages/evidence/template.html",
        status=422 if fault else 200,
        answer=answer,
        found=answer.facts.evidence,
        sheet=answer.page,
        decided=tuple(Decided),
        typed=typed or {},
        fault=fault,
        invented=answer.invented,
    )
