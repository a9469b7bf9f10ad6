"""The letter home."""

from __future__ import annotations

from uuid import UUID

from fastapi import APIRouter
from starlette.requests import Request
from starlette.responses import HTMLResponse, Response

from loftbook.desk.people import athlete
from loftbook.desk.printing import file_name, letter, letter_pdf
from loftbook.web.rendering import AtDesk, render

router = APIRouter(include_in_schema=False)


@router.get("/athletes/{athlete_id}/letter")
def letter_page(request: Request, desk: AtDesk, athlete_id: UUID, camp: UUID | None = None) -> HTMLResponse:
    """The letter as it will be printed, to read before it goes out."""
    sheet = letter(desk, athlete_id, camp)
    return render(
        request,
        "pages/letter/template.html",
        sheet=sheet,
        back=f"/athletes/{athlete_id}",
        pdf=f"/athletes/{athlete_id}/letter.pdf" + (f"?camp={camp}" if camp else ""),
        invented=sheet.invented,
    )


@router.get("/athletes/{athlete_id}/letter.pdf")
def letter_file(desk: AtDesk, athlete_id: UUID, camp: UUID | None = None) -> Response:
    """The letter as PDF, to keep or to print."""
    name = file_name("letter", athlete(desk, athlete_id))
    return Response(
        letter_pdf(desk, athlete_id, camp),
        media_type="application/pdf",
        headers={"Content-Disposition": f'attachment; filename="{name}"'},
    )
