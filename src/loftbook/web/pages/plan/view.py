"""The plan of a camp: stations, groups, order, how long it will take; and the blank sheets."""

from __future__ import annotations

from datetime import time
from typing import Annotated
from uuid import UUID

from fastapi import APIRouter, Depends
from starlette.datastructures import FormData
from starlette.requests import Request
from starlette.responses import RedirectResponse, Response

from loftbook.book.plan import Group, Plan, Station
from loftbook.desk import Desk
from loftbook.desk.blank_sheets import blank_pdf
from loftbook.desk.plan import camp_plan, in_groups, keep_plan
from loftbook.errors import LoftbookError, Refused
from loftbook.web.forms import posted, text
from loftbook.web.rendering import AtDesk, render

router = APIRouter(include_in_schema=False)
_LINES = 4  # of empty stations in the form


@router.get("/camps/{camp_id}/plan")
def plan_page(request: Request, desk: AtDesk, camp_id: UUID) -> Response:
    """The plan as it stands."""
    return _page(request, desk, camp_id)


@router.post("/camps/{camp_id}/plan")
def keep_plan_page(
    request: Request, desk: AtDesk, camp_id: UUID, form: Annotated[FormData, Depends(posted)]
) -> Response:
    """Keeps the plan, or says what nobody could follow in it."""
    try:
        keep_plan(desk, camp_id, _plan(desk, camp_id, form))
    except LoftbookError as error:
        return _page(request, desk, camp_id, fault=error.sentence())
    return RedirectResponse(f"/camps/{camp_id}/plan", 303)


@router.get("/camps/{camp_id}/blank.pdf")
def blank_file(desk: AtDesk, camp_id: UUID) -> Response:
    """The sheets to be filled by hand when the battery dies."""
    headers = {"Content-Disposition": 'attachment; filename="blank-sheets.pdf"'}
    return Response(blank_pdf(desk, camp_id), media_type="application/pdf", headers=headers)


def _page(request: Request, desk: Desk, camp_id: UUID, *, fault: str = "") -> Response:
    planned = camp_plan(desk, camp_id)
    return render(
        request,
        "pages/plan/template.html",
        status=422 if fault else 200,
        fault=fault,
        planned=planned,
        lines=range(len(planned.plan.stations) + _LINES),
        of_group={who: place for place, g in enumerate(planned.plan.groups, 1) for who in g.athletes},
        invented=planned.camp.invented,
    )


def _plan(desk: Desk, camp_id: UUID, form: FormData) -> Plan:
    stations = tuple(
        Station(text(form, f"station_{n}"), text(form, f"what_{n}"), text(form, f"who_{n}"))
        for n in range(40)
        if text(form, f"station_{n}")
    )
    return Plan(
        stations=stations,
        groups=_groups(desk, camp_id, form),
        turns=_number(form, "turns", "turns"),
        seconds_a_turn=_number(form, "seconds_a_turn", "seconds a turn"),
        seconds_between=_number(form, "seconds_between", "seconds between two children"),
        starts=_hour(form, "starts"),
        ends=_hour(form, "ends"),
    )


def _groups(desk: Desk, camp_id: UUID, form: FormData) -> tuple[Group, ...]:
    """By the places that were typed, or so many groups of one size."""
    children = camp_plan(desk, camp_id).athletes
    if text(form, "split").isdecimal():
        return in_groups(children, min(int(text(form, "split")[:4]), 99))
    placed: dict[int, list[tuple[int, int, UUID]]] = {}
    for number, child in enumerate(children):
        group, place = text(form, f"group_{child.id}"), text(form, f"place_{child.id}")
        if group.isdecimal() and len(group) < 4 and int(group):
            order = int(place) if place.isdecimal() and len(place) < 5 else 9999
            placed.setdefault(int(group), []).append((order, number, child.id))
    return tuple(
        Group(f"Group {key}", tuple(who for *_, who in sorted(placed[key]))) for key in sorted(placed)
    )


def _number(form: FormData, name: str, what: str) -> int:
    typed = text(form, name)
    if not typed.isdecimal() or len(typed) > 6:
        raise Refused(f"{typed!r} {what}", "a whole number", "correct it")
    return int(typed)


def _hour(form: FormData, name: str) -> time | None:
    typed = text(form, name)
    if not typed:
        return None
    try:
        return time.fromisoformat(typed).replace(second=0, microsecond=0, tzinfo=None)
    except ValueError:
        raise Refused(f"{typed!r}", "a time such as 09:30", "correct it") from None
