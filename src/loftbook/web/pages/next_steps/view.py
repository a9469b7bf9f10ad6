"""A camp's margins as one picture, and whom to film."""

from __future__ import annotations

from uuid import UUID

from fastapi import APIRouter
from starlette.requests import Request
from starlette.responses import HTMLResponse

from loftbook.desk.lab.next_steps import camp_steps
from loftbook.reports.charts.margins import group_bands
from loftbook.web.rendering import NARROW, WIDE, AtDesk, render

router = APIRouter(include_in_schema=False)


@router.get("/camps/{camp_id}/next-steps")
def next_steps_page(request: Request, desk: AtDesk, camp_id: UUID, rung: str = "") -> HTMLResponse:
    """Each one's band for her own next rung, or everybody's for one rung."""
    answer = camp_steps(desk, camp_id, rung=rung[:100])
    return render(
        request,
        "pages/next_steps/template.html",
        answer=answer,
        bands=[group_bands(answer.title, answer.named_bands, width=width) for width in (NARROW, WIDE)],
        invented=answer.invented,
    )
