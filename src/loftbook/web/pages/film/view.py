"""One film: who, what was seen, what was measured with its reasons, what is missing; its files."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated
from uuid import UUID

from fastapi import APIRouter, Depends
from starlette.datastructures import FormData
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import FileResponse, RedirectResponse, Response

from loftbook.desk.film import attaching, correcting
from loftbook.desk.film.answers import film_answer
from loftbook.desk.film.asking import bed_of, click_of
from loftbook.desk.film.curves import curve_rows, curves_of, label_of
from loftbook.desk.film.saving import FORMS, shown_file, taken_along
from loftbook.desk.film.wording import reading_rows
from loftbook.errors import Refused
from loftbook.reports.charts.film_curves import film_curves
from loftbook.web.access import Asking, Known
from loftbook.web.forms import posted, text
from loftbook.web.rendering import NARROW, WIDE, AtDesk, render

router = APIRouter(include_in_schema=False)

_Form = Annotated[FormData, Depends(posted)]
_KINDS = {
    "csv": "text/csv; charset=utf-8",
    "parquet": "application/vnd.apache.parquet",
    "trc": "text/plain; charset=utf-8",
    "c3d": "application/octet-stream",
    "mp4": "video/mp4",
    "png": "image/png",
    "pdf": "application/pdf",
}


@router.get("/film/{clip_id}")
def film_page(request: Request, desk: AtDesk, clip_id: UUID) -> Response:
    """The film’s page; the islands of the browser fill the place of the player."""
    answer = film_answer(desk, clip_id)
    found = answer.line.measured
    curves = None if answer.line.withheld else curves_of(found, label_of(answer.line))
    return render(
        request,
        "pages/film/template.html",
        answer=answer,
        line=answer.line,
        readings=reading_rows(found.readings if found else ()),
        curves=[film_curves([curves], width=width) for width in (NARROW, WIDE)] if curves else None,
        table=curve_rows(curves) if curves else [],
        label_of=label_of,
        speeds=correcting.SPEEDS,
        forms=tuple(FORMS),
        invented=answer.invented,
    )


@router.get("/film/{clip_id}/proxy.mp4")
def proxy(desk: AtDesk, clip_id: UUID) -> FileResponse:
    """The copy for the browser, in pieces as it asks for them (RFC 9110, section 14)."""
    headers = {"Cache-Control": "private, no-cache", "Content-Disposition": "inline"}
    return FileResponse(shown_file(desk, clip_id, "proxy"), media_type="video/mp4", headers=headers)


@router.get("/film/{clip_id}/take.{form}")
def take(desk: AtDesk, clip_id: UUID, form: str) -> Response:
    """The numbers or pictures of a film as a file."""
    if form not in _KINDS:
        raise HTTPException(404)
    taken = taken_along(desk, clip_id, form)
    headers = {"Content-Disposition": f'attachment; filename="{taken.name}"'}
    if isinstance(taken.content, Path):
        return FileResponse(taken.content, media_type=_KINDS[form], headers=headers)
    return Response(taken.content, media_type=_KINDS[form], headers=headers)


@router.post("/film/{clip_id}/again")
def again(desk: AtDesk, who: Asking, clip_id: UUID, form: _Form) -> Response:
    """Follow her anew, from a click or with another model."""
    click, model = click_of(text(form, "at")), text(form, "model") or "heavy"
    attaching.measure_clip_again(desk, clip_id, by=_by(who), model=model, at=click)
    return _back(clip_id)


@router.post("/film/{clip_id}/cancel")
def cancel(desk: AtDesk, clip_id: UUID) -> Response:
    """Stop the work on it."""
    attaching.cancel_work_on(desk, clip_id)
    return _back(clip_id)


@router.post("/film/{clip_id}/speed")
def speed(desk: AtDesk, who: Asking, clip_id: UUID, form: _Form) -> Response:
    """Confirm how many times slower than life it plays."""
    typed = text(form, "times")
    if not typed.isdigit():
        raise Refused(f"{typed[:20]!r} times slower", "1, 2, 4 or 8", "choose one of them")
    correcting.confirm_speed(desk, clip_id, int(typed[:3]), by=_by(who))
    return _back(clip_id)


@router.post("/film/{clip_id}/bed")
def bed(desk: AtDesk, who: Asking, clip_id: UUID, form: _Form) -> Response:
    """Draw the bed’s line, for every film of this camera place."""
    correcting.draw_bed(desk, clip_id, bed_of(text(form, "ends")) or (), by=_by(who))
    return _back(clip_id)


@router.post("/film/{clip_id}/delete")
def delete(desk: AtDesk, who: Asking, clip_id: UUID, form: _Form) -> Response:
    """Delete it with every file and finding."""
    if text(form, "sure") != "yes":
        raise Refused(
            "no yes to deleting this film", "a tick in the box", "tick it if the film is to go for good"
        )
    attaching.delete_film(desk, clip_id, by=_by(who), why=text(form, "why") or "asked for")
    return RedirectResponse("/film", 303)


def _by(who: Known) -> str:
    return (who.device.rater if who.device else "") or who.visitor.name or "head coach"


def _back(clip_id: UUID) -> Response:
    return RedirectResponse(f"/film/{clip_id}", 303)
