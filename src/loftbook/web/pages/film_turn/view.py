"""Put a film with a turn: who, what was said about filming her, the file."""

from __future__ import annotations

from datetime import date
from typing import Annotated
from uuid import UUID

from fastapi import APIRouter, Depends
from starlette.datastructures import FormData, UploadFile
from starlette.requests import Request
from starlette.responses import RedirectResponse, Response

from loftbook.book.consent import OF_FILMS
from loftbook.desk import Desk
from loftbook.desk.film.asking import spoken
from loftbook.desk.film.attaching import Sent, attach, turn_page
from loftbook.desk.film.consenting import record_consent
from loftbook.errors import LoftbookError, Refused
from loftbook.web.forms import day, identity, posted, text
from loftbook.web.rendering import AtDesk, render

router = APIRouter(include_in_schema=False)

_Form = Annotated[FormData, Depends(posted)]


@router.get("/attempts/{attempt_id}/film")
def turn_film_page(request: Request, desk: AtDesk, attempt_id: UUID) -> Response:
    """What was said about filming her, the films of this turn, and the place for a new one."""
    return _page(request, desk, attempt_id)


@router.post("/attempts/{attempt_id}/film")
def put_film(request: Request, desk: AtDesk, attempt_id: UUID, form: _Form) -> Response:
    """Keep a film with this turn; it is on disk already, piece by piece."""
    try:
        chosen = form.get("film")
        if not isinstance(chosen, UploadFile) or not chosen.filename:
            raise Refused("no film", "a film of this turn", "choose the file first")
        sent = Sent(
            source=chosen.file,
            name=chosen.filename,
            by=text(form, "by") or "head coach",
            station=text(form, "station"),
            model=text(form, "model") or "heavy",
            keep_until=_until(form, "keep_until"),
        )
        kept = attach(desk, attempt_id, sent)
    except LoftbookError as error:
        return _page(request, desk, attempt_id, fault=error.sentence())
    return RedirectResponse(f"/film/{kept.clip.id}", 303)


@router.post("/athletes/{athlete_id}/consent")
def put_consent(desk: AtDesk, athlete_id: UUID, form: _Form) -> Response:
    """Write down what was said about filming her."""
    said = spoken(
        text(form, "purpose"),
        text(form, "word"),
        text(form, "said_by"),
        text(form, "recorded_by"),
        _until(form, "until"),
    )
    record_consent(desk, athlete_id, said)
    back = identity(form, "attempt")
    return RedirectResponse(f"/attempts/{back}/film" if back else f"/athletes/{athlete_id}", 303)


def _until(form: FormData, name: str) -> date | None:
    return day(form, name, "a last day") if text(form, name) else None


def _page(request: Request, desk: Desk, attempt_id: UUID, *, fault: str = "") -> Response:
    answer = turn_page(desk, attempt_id)
    return render(
        request,
        "pages/film_turn/template.html",
        status=422 if fault else 200,
        fault=fault,
        answer=answer,
        purposes=OF_FILMS,
        invented=answer.athlete.invented,
    )
