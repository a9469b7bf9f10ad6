"""Papers to be read before they go out: the parents' copy, the child's sheet, a mail draft; the camp's own papers."""

from __future__ import annotations

from typing import Annotated
from uuid import UUID

from fastapi import APIRouter, Depends
from starlette.datastructures import FormData
from starlette.requests import Request
from starlette.responses import HTMLResponse, Response

from loftbook.desk import Desk
from loftbook.desk.batch import camps_pdf, childs_paper, childs_pdf
from loftbook.desk.mailing import letter_draft
from loftbook.desk.people import athlete
from loftbook.desk.printing import file_name
from loftbook.errors import LoftbookError
from loftbook.web.forms import posted, text
from loftbook.web.rendering import AtDesk, render

router = APIRouter(include_in_schema=False)
_Form = Annotated[FormData, Depends(posted)]


@router.get("/athletes/{athlete_id}/papers/{kind}.pdf")
def paper_file(desk: AtDesk, athlete_id: UUID, kind: str, paper: str = "a4") -> Response:
    """One paper about one child as PDF."""
    pdf = childs_pdf(desk, kind, athlete_id, paper=paper)
    return _file(pdf, "application/pdf", file_name(kind, athlete(desk, athlete_id)))


@router.get("/athletes/{athlete_id}/papers/{kind}")
def paper_page(request: Request, desk: AtDesk, athlete_id: UUID, kind: str) -> HTMLResponse:
    """The same as it will be printed, to read before it goes out."""
    sheet = childs_paper(desk, kind, athlete_id)
    return render(
        request,
        "pages/letter/template.html",
        sheet=sheet,
        back=f"/athletes/{athlete_id}",
        pdf=f"/athletes/{athlete_id}/papers/{kind}.pdf",
        invented=sheet.invented,
    )


@router.get("/athletes/{athlete_id}/mail")
def mail_page(request: Request, desk: AtDesk, athlete_id: UUID) -> HTMLResponse:
    """The mail that would go with the letter, to read; nothing is sent."""
    return _mail(request, desk, athlete_id)


@router.post("/athletes/{athlete_id}/mail")
def mail_file(request: Request, desk: AtDesk, athlete_id: UUID, form: _Form) -> Response:
    """The draft as a file for a mail program; the addresses typed here are kept nowhere."""
    parent, second = text(form, "parent"), text(form, "second")
    try:
        draft = letter_draft(desk, athlete_id, parent=parent, second=second)
    except LoftbookError as error:
        return _mail(request, desk, athlete_id, typed=(parent, second), fault=error.sentence())
    return _file(draft.data, "message/rfc822", draft.name)


@router.get("/camps/{camp_id}/papers/{kind}.pdf")
def camp_paper_file(desk: AtDesk, camp_id: UUID, kind: str, paper: str = "a4") -> Response:
    """The belt list, the programme summary and the other papers of a camp."""
    return _file(camps_pdf(desk, kind, camp_id, paper=paper), "application/pdf", f"{kind}.pdf")


def _mail(
    request: Request, desk: Desk, athlete_id: UUID, *, typed: tuple[str, str] = ("", ""), fault: str = ""
) -> HTMLResponse:
    who = athlete(desk, athlete_id)
    return render(
        request,
        "pages/papers/mail.html",
        status=422 if fault else 200,
        athlete=who,
        draft=letter_draft(desk, athlete_id),
        typed=typed,
        fault=fault,
        invented=who.invented,
    )


def _file(data: bytes, kind: str, name: str) -> Response:
    return Response(data, media_type=kind, headers={"Content-Disposition": f'attachment; filename="{name}"'})
