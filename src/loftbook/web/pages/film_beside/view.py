"""Two films of one child, aligned at take-off."""

from __future__ import annotations

from uuid import UUID

from fastapi import APIRouter
from starlette.requests import Request
from starlette.responses import Response

from loftbook.desk.film.curves import compare, label_of
from loftbook.reports.charts.film_curves import film_curves
from loftbook.web.rendering import NARROW, WIDE, AtDesk, render

router = APIRouter(include_in_schema=False)


@router.get("/film/{clip_id}/beside/{other_id}")
def beside_page(request: Request, desk: AtDesk, clip_id: UUID, other_id: UUID) -> Response:
    """The curves over each other, the readings beside each other."""
    answer = compare(desk, clip_id, other_id)
    return render(
        request,
        "pages/film_beside/template.html",
        answer=answer,
        curves=[film_curves(answer.curves, width=width) for width in (NARROW, WIDE)]
        if answer.curves
        else None,
        labels=[label_of(answer.first), label_of(answer.second)],
        invented=answer.invented,
    )
