"""All camps together in counts: the page of the programme, on which nobody is named."""

from __future__ import annotations

from fastapi import APIRouter
from starlette.requests import Request
from starlette.responses import HTMLResponse

from loftbook.desk.answers import federation_answer
from loftbook.web.rendering import AtDesk, render

router = APIRouter(include_in_schema=False)


@router.get("/counts")
def counts_page(request: Request, desk: AtDesk) -> HTMLResponse:
    """Rung by rung where everybody stood at her last camp, and how it went over the years."""
    answer = federation_answer(desk)
    names = {rung.key: rung.name for rung in desk.ladder.rungs}
    return render(request, "pages/counts/template.html", answer=answer, names=names)
