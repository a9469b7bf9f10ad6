"""Typing in a sheet that was filled by hand: a grid for the keyboard, with the sheet's own codes."""

from __future__ import annotations

from datetime import UTC
from typing import Annotated
from uuid import UUID

from fastapi import APIRouter, Depends
from starlette.datastructures import FormData
from starlette.requests import Request
from starlette.responses import RedirectResponse, Response

from loftbook.book.paper import TypedSheet, code_words
from loftbook.book.records import moment_of
from loftbook.desk import Desk
from loftbook.desk.blank_sheets import type_in
from loftbook.desk.entry import new_id
from loftbook.desk.plan import camp_plan
from loftbook.errors import LoftbookError, Refused
from loftbook.web.forms import day, identity, posted, text
from loftbook.web.rendering import AtDesk, render

router = APIRouter(include_in_schema=False)


@router.get("/camps/{camp_id}/type")
def type_page(request: Request, desk: AtDesk, camp_id: UUID) -> Response:
    """An empty sheet."""
    return _page(request, desk, camp_id, FormData())


@router.post("/camps/{camp_id}/type")
def typed_page(
    request: Request, desk: AtDesk, camp_id: UUID, form: Annotated[FormData, Depends(posted)]
) -> Response:
    """Writes the sheet, or shows it again with what cannot be read."""
    try:
        done = type_in(desk, _sheet(desk, camp_id, form))
    except LoftbookError as error:
        return _page(request, desk, camp_id, form, fault=error.sentence())
    if done.unread:
        wrong = {f"{u.athlete}:{u.rung}:{u.place}": u.why for u in done.unread}
        fault = f"{len(wrong)} marks cannot be read; nothing was written. They are marked below."
        return _page(request, desk, camp_id, form, fault=fault, wrong=wrong)
    new = sum(one.status == "stored" for one in done.written)
    return RedirectResponse(f"/camps/{camp_id}/type?written={new}", 303)


def _sheet(desk: Desk, camp_id: UUID, form: FormData) -> TypedSheet:
    number, made = identity(form, "number"), moment_of(text(form, "made"))
    if number is None or made is None or made > desk.clock():
        raise Refused("a sheet without its number", "the page’s own form", "load the page again")
    planned = camp_plan(desk, camp_id)
    places = range(1, planned.plan.turns + 1)
    return TypedSheet(
        number=number,
        made=made.astimezone(UTC),
        day=day(form, "day", "the day"),
        camp=camp_id,
        rater=text(form, "rater"),
        cells={
            (child.id, rung.key, place): text(form, f"{child.id}:{rung.key}:{place}")
            for child in planned.athletes
            for rung in desk.ladder.test_rungs
            for place in places
        },
        notes={child.id: text(form, f"note:{child.id}") for child in planned.athletes},
    )


def _page(
    request: Request,
    desk: Desk,
    camp_id: UUID,
    form: FormData,
    *,
    fault: str = "",
    wrong: dict[str, str] | None = None,
) -> Response:
    planned = camp_plan(desk, camp_id)
    now = desk.clock()
    return render(
        request,
        "pages/type_in/template.html",
        status=422 if fault else 200,
        fault=fault,
        wrong=wrong or {},
        typed={key: value for key, value in form.items() if isinstance(value, str)},
        planned=planned,
        rungs=desk.ladder.test_rungs,
        places=range(1, planned.plan.turns + 1),
        codes=code_words(),
        number=text(form, "number") or new_id(desk),
        made=text(form, "made") or now.isoformat(),
        today=min(max(now.date(), planned.camp.starts), planned.camp.ends),
        written=_count(request.query_params.get("written", "")),
        invented=planned.camp.invented,
    )


def _count(typed: str) -> int | None:
    return int(typed) if typed.isdecimal() and len(typed) < 6 else None
