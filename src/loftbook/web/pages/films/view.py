"""The list of films."""

from __future__ import annotations

from fastapi import APIRouter
from starlette.requests import Request
from starlette.responses import HTMLResponse

from loftbook.desk.film.answers import films_answer
from loftbook.web.rendering import AtDesk, render

router = APIRouter(include_in_schema=False)


@router.get("/film")
def films_page(request: Request, desk: AtDesk) -> HTMLResponse:
    """Every film, the newest first."""
    answer = films_answer(desk)
    return render(request, "pages/films/template.html", answer=answer, invented=answer.invented)
