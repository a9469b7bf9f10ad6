"""One gymnast's page."""

from __future__ import annotations

from uuid import UUID

from fastapi import APIRouter
from starlette.requests import Request
from starlette.responses import HTMLResponse

from loftbook.desk.answers import athlete_answer
from loftbook.desk.film.answers import films_of_athlete
from loftbook.desk.home_answers import answers_of_one
from loftbook.desk.lab.next_steps import athlete_steps
from loftbook.reports.charts.heights import height_history
from loftbook.reports.charts.history import CampResults, rung_history
from loftbook.reports.charts.margins import step_bands
from loftbook.web.rendering import NARROW, WIDE, AtDesk, render

router = APIRouter(include_in_schema=False)


@router.get("/athletes/{athlete_id}")
def athlete_page(request: Request, desk: AtDesk, athlete_id: UUID) -> HTMLResponse:
    """Her rungs over the camps, the turns behind each, her heights, and what is missing."""
    answer = athlete_answer(desk, athlete_id)
    steps = athlete_steps(desk, athlete_id)
    results = [CampResults(column.camp, tuple(column.standings.values())) for column in answer.columns]
    name, heights = answer.athlete.name.full, answer.athlete.heights
    return render(
        request,
        "pages/athlete/template.html",
        answer=answer,
        rungs={rung.key: rung for rung in desk.ladder.rungs},
        criteria={one.key: one.name for one in desk.ladder.criteria},
        history=[rung_history(name, desk.ladder, results, width=width) for width in (NARROW, WIDE)],
        growth=[height_history(name, heights, width=width) for width in (NARROW, WIDE)],
        films=films_of_athlete(desk, athlete_id),
        from_home_answers=answers_of_one(desk, athlete_id),
        steps=steps,
        bands=[step_bands(name, steps.steps, width=width) for width in (NARROW, WIDE)],
        invented=answer.invented,
    )
