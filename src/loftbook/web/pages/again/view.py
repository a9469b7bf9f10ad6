"""Marking again from film: one film at a time, mixed, without her name, the camp or any earlier mark."""

from __future__ import annotations

from typing import Annotated
from urllib.parse import quote

from fastapi import APIRouter, Depends
from starlette.datastructures import FormData
from starlette.requests import Request
from starlette.responses import RedirectResponse, Response

from loftbook.desk import Desk
from loftbook.desk.remarking import Seen, mark_again, next_unseen
from loftbook.errors import LoftbookError, Refused
from loftbook.ladder.scales import Outcome, Rotation
from loftbook.web.forms import identity, posted, text
from loftbook.web.rendering import AtDesk, render

router = APIRouter(include_in_schema=False)
_MARK = "mark_"


@router.get("/again")
def again_page(request: Request, desk: AtDesk, rater: str = "") -> Response:
    """The next film that waits for this person; first her name."""
    return _page(request, desk, rater[:120])


@router.post("/again")
def marked_page(request: Request, desk: AtDesk, form: Annotated[FormData, Depends(posted)]) -> Response:
    """Keeps the mark and goes on to the next film."""
    rater, clip = text(form, "rater"), identity(form, "clip")
    try:
        if clip is None:
            raise Refused("no film", "the one that the page shows", "reload the page")
        mark_again(desk, rater, clip, _seen(form))
    except LoftbookError as error:
        return _page(request, desk, rater, fault=error.sentence())
    return RedirectResponse(f"/again?rater={quote(rater, safe='')}", 303)


def _seen(form: FormData) -> Seen:
    marks = {
        name.removeprefix(_MARK): int(text(form, name))
        for name in form
        if name.startswith(_MARK) and text(form, name) in {"1", "2", "3"}
    }
    return Seen(text(form, "outcome"), text(form, "rotation"), marks)


def _page(request: Request, desk: Desk, rater: str, *, fault: str = "") -> Response:
    unseen = next_unseen(desk, rater) if rater.strip() else None
    return render(
        request,
        "pages/again/template.html",
        status=422 if fault else 200,
        rater=rater.strip(),
        unseen=unseen,
        outcomes=[one for one in Outcome if not one.is_blank],
        rotations=tuple(Rotation),
        fault=fault,
        invented=bool(unseen and unseen.invented),
    )
