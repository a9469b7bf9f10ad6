"""How alike two people mark: about criteria, with no child on it and no order of raters."""

from __future__ import annotations

from uuid import UUID

from fastapi import APIRouter
from starlette.requests import Request
from starlette.responses import HTMLResponse

from loftbook.desk.answers import agreement_answer
from loftbook.reports.charts.agreement import agreement_bars
from loftbook.web.rendering import NARROW, WIDE, AtDesk, render

router = APIRouter(include_in_schema=False)


@router.get("/camps/{camp_id}/agreement")
def agreement_page(request: Request, desk: AtDesk, camp_id: UUID) -> HTMLResponse:
    """How alike two people marked at this camp, over all camps up to it, and one person over time."""
    answer = agreement_answer(desk, camp_id)
    bars = [agreement_bars(answer.here.criteria.values(), width=width) for width in (NARROW, WIDE)]
    return render(
        request, "pages/agreement/template.html", answer=answer, bars=bars, invented=answer.invented
    )
