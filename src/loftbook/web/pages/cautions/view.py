"""The page of cautions."""

from __future__ import annotations

from fastapi import APIRouter
from starlette.requests import Request
from starlette.responses import HTMLResponse

from loftbook.web.rendering import AtDesk, render

router = APIRouter(include_in_schema=False)


@router.get("/cautions")
def cautions_page(request: Request, desk: AtDesk) -> HTMLResponse:
    """What to be careful of, the ladder's own cautions, and how to read the marks."""
    return render(request, "pages/cautions/template.html", ladder=desk.ladder)
