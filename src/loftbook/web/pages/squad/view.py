"""The squad page."""

from __future__ import annotations

from fastapi import APIRouter
from starlette.requests import Request
from starlette.responses import HTMLResponse

from loftbook.desk.answers import squad_answer
from loftbook.web.rendering import AtDesk, render

router = APIRouter(include_in_schema=False)


@router.get("/")
def squad_page(request: Request, desk: AtDesk) -> HTMLResponse:
    """Everyone in the book with her last standing."""
    answer = squad_answer(desk)
    return render(request, "pages/squad/template.html", answer=answer, invented=answer.invented)
