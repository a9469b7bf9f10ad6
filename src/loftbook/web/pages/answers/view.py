"""Answers of home coaches: the form to send, files taken in, one that came on paper, and all before a camp."""

from __future__ import annotations

from collections.abc import AsyncIterator
from typing import Annotated
from uuid import UUID

from fastapi import APIRouter, Depends
from starlette.datastructures import FormData, UploadFile
from starlette.requests import Request
from starlette.responses import HTMLResponse, Response

from loftbook.book.answering import Trained, TrainedItem
from loftbook.desk import Desk
from loftbook.desk.home_answers import (
    TakenIn,
    Typed,
    answers_of_one,
    camp_from_home,
    home_form_file,
    latest_from_home,
    take_answers,
    type_answer,
)
from loftbook.desk.letters import letter_of_one
from loftbook.errors import LoftbookError, Refused
from loftbook.web.forms import posted, text
from loftbook.web.rendering import AtDesk, render

router = APIRouter(include_in_schema=False)
_MOST_FILES = 200
_Form = Annotated[FormData, Depends(posted)]


async def several(request: Request) -> AsyncIterator[FormData]:
    """A form with many files in it: all answers of a camp at once."""
    async with request.form(max_files=_MOST_FILES, max_fields=20) as form:
        yield form


@router.get("/answers")
def answers_page(request: Request, desk: AtDesk) -> HTMLResponse:
    """Which files to take in, and who has answered the letters of the last camp."""
    return _answers(request, desk)


@router.post("/answers")
def taken_page(request: Request, desk: AtDesk, form: Annotated[FormData, Depends(several)]) -> HTMLResponse:
    """What became of each answer."""
    files = [one for one in form.getlist("file") if isinstance(one, UploadFile) and one.filename]
    typed = text(form, "copied")
    chosen = [(one.filename or "", one.file.read()) for one in files]
    chosen += [("copied text", typed.encode())] if typed else []
    if not chosen:
        nothing = Refused(
            "no file", "answers that came by mail", "choose them first, or paste the text of one"
        )
        return _answers(request, desk, fault=nothing.sentence())
    return _answers(request, desk, taken=take_answers(desk, chosen))


@router.get("/camps/{camp_id}/from-home")
def from_home_page(request: Request, desk: AtDesk, camp_id: UUID) -> HTMLResponse:
    """What the home coaches wrote about those who are expected at a camp."""
    found = camp_from_home(desk, camp_id)
    return render(request, "pages/answers/camp.html", found=found, invented=found.invented)


@router.get("/athletes/{athlete_id}/answer.html")
def form_file(desk: AtDesk, athlete_id: UUID, camp: UUID | None = None) -> Response:
    """The form that goes with her letter, as a file to send."""
    name, data = home_form_file(desk, athlete_id, camp)
    headers = {"Content-Disposition": f'attachment; filename="{name}"'}
    return Response(data, media_type="text/html; charset=utf-8", headers=headers)


@router.get("/athletes/{athlete_id}/answer")
def typing_page(request: Request, desk: AtDesk, athlete_id: UUID, camp: UUID | None = None) -> HTMLResponse:
    """An answer that came on paper or by word, to be typed."""
    return _typing(request, desk, athlete_id, camp)


@router.post("/athletes/{athlete_id}/answer")
def typed_page(
    request: Request, desk: AtDesk, athlete_id: UUID, form: _Form, camp: UUID | None = None
) -> HTMLResponse:
    """Writes it down, or says what is missing of it."""
    try:
        asked = len(letter_of_one(desk, athlete_id, camp).priorities.items)
        items = tuple(_item(form, at) for at in range(asked))
        taken = type_answer(desk, athlete_id, camp, Typed(text(form, "by"), items, text(form, "more")))
    except LoftbookError as error:
        return _typing(request, desk, athlete_id, camp, typed=form, fault=error.sentence())
    return _typing(request, desk, athlete_id, camp, taken=taken)


def _item(form: FormData, at: int) -> TrainedItem:
    trained = text(form, f"trained-{at}")
    return TrainedItem(
        rung="",
        title="",
        trained=Trained(trained) if trained in {one.value for one in Trained} else Trained.UNSAID,
        weekly=_number(text(form, f"weekly-{at}")),
        weeks=_number(text(form, f"weeks-{at}")),
        what=text(form, f"what-{at}"),
        problems=text(form, f"problems-{at}"),
        clip=text(form, f"clip-{at}"),
    )


def _number(typed: str) -> int | None:
    if typed and not (typed.isascii() and typed.isdigit() and len(typed) < 4):
        raise Refused(
            f"{typed[:40]!r} as a number", "a whole number such as 2", "correct it, or leave it out"
        )
    return int(typed) if typed else None


def _answers(
    request: Request, desk: Desk, *, taken: tuple[TakenIn, ...] = (), fault: str = ""
) -> HTMLResponse:
    return render(
        request,
        "pages/answers/template.html",
        status=422 if fault else 200,
        taken=taken,
        fault=fault,
        latest=latest_from_home(desk),
    )


def _typing(  # noqa: PLR0913 - whose, of which camp, and what came of it
    request: Request,
    desk: Desk,
    athlete_id: UUID,
    camp: UUID | None,
    *,
    typed: FormData | None = None,
    taken: TakenIn | None = None,
    fault: str = "",
) -> HTMLResponse:
    facts = letter_of_one(desk, athlete_id, camp)
    return render(
        request,
        "pages/answers/typing.html",
        status=422 if fault else 200,
        facts=facts,
        typed=typed or {},
        taken=taken,
        fault=fault,
        known=[one for one in answers_of_one(desk, athlete_id) if one.camp.id == facts.camp.id],
        choices=(Trained.REGULARLY, Trained.SOMETIMES, Trained.NOT),
        invented=facts.athlete.invented,
    )
