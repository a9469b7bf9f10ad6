"""The teaching card as PDF."""

from __future__ import annotations

from typing import Annotated

from fastapi import APIRouter, Query
from starlette.responses import Response

from loftbook.desk.lab.card import card_pdf
from loftbook.desk.lab.link import LONGEST_CODE
from loftbook.web.rendering import AtDesk

router = APIRouter(include_in_schema=False)


@router.get("/lab/card.pdf")
def card_file(
    desk: AtDesk, plan: Annotated[str, Query(max_length=LONGEST_CODE)], paper: str = "a4"
) -> Response:
    """The card of the plan in the address."""
    return Response(
        card_pdf(desk, plan, paper=paper),
        media_type="application/pdf",
        headers={"Content-Disposition": 'attachment; filename="teaching-card.pdf"'},
    )
