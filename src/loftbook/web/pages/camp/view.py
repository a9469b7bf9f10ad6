"""One camp's page."""

from __future__ import annotations

from uuid import UUID

from fastapi import APIRouter
from starlette.requests import Request
from starlette.responses import HTMLResponse

from loftbook.desk.answers import camp_answer
from loftbook.insight.change_told import told
from loftbook.reports.charts.bars import expected_bars, share_bars
from loftbook.web.rendering import NARROW, WIDE, AtDesk, render

router = APIRouter(include_in_schema=False)


@router.get("/camps/{camp_id}")
def camp_page(request: Request, desk: AtDesk, camp_id: UUID) -> HTMLResponse:
    """Who did what at this camp, what changed (with `against=first` also since each first camp), what was expected."""
    answer = camp_answer(desk, camp_id, since_first=request.query_params.get("against") == "first")
    return render(
        request,
        "pages/camp/template.html",
        answer=answer,
        rungs={rung.key: rung for rung in desk.ladder.rungs},
        places={(s.athlete, s.rung): s for s in answer.standings},
        told=told(answer.changes),
        since_first=None if answer.since_first is None else told(answer.since_first),
        shares=[share_bars(answer.inventory, desk.ladder, width=width) for width in (NARROW, WIDE)],
        expectations=[expected_bars(answer.expected, desk.ladder, width=width) for width in (NARROW, WIDE)],
        invented=answer.invented,
    )
