"""The book's page of privacy and one for each child: agreed, held, left, taken along, erased."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Annotated, Any
from uuid import UUID

from fastapi import APIRouter, Depends
from starlette.datastructures import FormData
from starlette.requests import Request
from starlette.responses import RedirectResponse, Response

from loftbook.book.consent import Purpose
from loftbook.desk import Desk
from loftbook.desk.film.asking import spoken
from loftbook.desk.film.consenting import record_consent
from loftbook.desk.privacy.erasing import erase_child
from loftbook.desk.privacy.export import archive_of
from loftbook.desk.privacy.leaving import line_words
from loftbook.desk.privacy.page import books_privacy, childs_privacy
from loftbook.errors import LoftbookError
from loftbook.web.forms import day, posted, text
from loftbook.web.rendering import AtDesk, render

router = APIRouter(include_in_schema=False)
_Form = Annotated[FormData, Depends(posted)]


@router.get("/privacy")
def book_page(request: Request, desk: AtDesk) -> Response:
    """What is held about children, what left the machine, and the backups."""
    found = books_privacy(desk)
    lines = [line_words(one) for one in found.left]
    return render(request, "pages/privacy/book.html", found=found, lines=lines, invented=found.invented)


@router.get("/athletes/{athlete_id}/privacy")
def child_page(request: Request, desk: AtDesk, athlete_id: UUID) -> Response:
    """What was agreed about one child, what left about her, her archive, and her erasure."""
    return _page(request, desk, athlete_id)


@router.post("/athletes/{athlete_id}/privacy")
def agree_page(request: Request, desk: AtDesk, athlete_id: UUID, form: _Form) -> Response:
    """Writes down a yes or a no."""
    try:
        until = day(form, "until", "a last day") if text(form, "until") else None
        purpose, word = text(form, "purpose"), text(form, "word")
        said = spoken(purpose, word, text(form, "said_by"), text(form, "recorded_by"), until)
        record_consent(desk, athlete_id, said)
    except LoftbookError as error:
        return _page(request, desk, athlete_id, typed=form, fault=error.sentence())
    return RedirectResponse(f"/athletes/{athlete_id}/privacy", 303)


@router.get("/athletes/{athlete_id}/everything.zip")
def archive_file(desk: AtDesk, athlete_id: UUID) -> Response:
    """All that is held about her."""
    headers = {
        "Content-Disposition": 'attachment; filename="everything.zip"'
    }  # no child's name in a file's name
    return Response(archive_of(desk, athlete_id), media_type="application/zip", headers=headers)


@router.post("/athletes/{athlete_id}/erase")
def erase_page(request: Request, desk: AtDesk, athlete_id: UUID, form: _Form) -> Response:
    """Erases her, if her whole name was typed; says what went and what lies elsewhere."""
    try:
        done = erase_child(desk, athlete_id, typed=text(form, "typed"), by=text(form, "by"))
    except LoftbookError as error:
        return _page(request, desk, athlete_id, typed=form, fault=error.sentence())
    return render(request, "pages/privacy/erased.html", done=done, invented=False)


def _page(
    request: Request, desk: Desk, athlete_id: UUID, *, typed: Mapping[str, Any] | None = None, fault: str = ""
) -> Response:
    found = childs_privacy(desk, athlete_id)
    return render(
        request,
        "pages/privacy/child.html",
        status=422 if fault else 200,
        athlete=found.agreed.athlete,
        words=found.agreed.words,
        said=found.agreed.said,
        lines=[line_words(one) for one in found.left],
        purposes=tuple(Purpose),
        typed=typed or {},
        fault=fault,
        invented=found.agreed.athlete.invented,
    )
