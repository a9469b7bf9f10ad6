"""The studio's page; its part in the browser asks the lab's own addresses."""

from __future__ import annotations

from uuid import UUID

from fastapi import APIRouter
from starlette.requests import Request
from starlette.responses import RedirectResponse, Response

from loftbook.desk.lab.studio import studio
from loftbook.web.rendering import AtDesk, render

router = APIRouter(include_in_schema=False)


@router.get("/lab")
def lab(request: Request) -> Response:
    """Where a plan's link leads; the studio reads the plan from the address."""
    asked = f"?{request.url.query}" if request.url.query else ""
    return RedirectResponse(f"/lab/studio{asked}", 303)


@router.get("/lab/studio")
def studio_page(request: Request, desk: AtDesk, athlete: UUID | None = None) -> Response:
    """A flight as key poses, its picture, its landings; with somebody's height and age, or for anybody."""
    answer = studio(desk, athlete)
    return render(request, "pages/studio/template.html", answer=answer, invented=answer.invented)
