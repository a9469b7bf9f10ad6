"""Bringing in a typed list: choose the file, read the report, answer what it asks, then say yes."""

from __future__ import annotations

from typing import Annotated

from fastapi import APIRouter, Depends
from starlette.datastructures import FormData
from starlette.requests import Request
from starlette.responses import RedirectResponse, Response

from loftbook.book.typed.report import ListReport
from loftbook.desk import Desk
from loftbook.desk.importing import read_camp_file, read_roster_file
from loftbook.desk.people import all_camps
from loftbook.errors import LoftbookError
from loftbook.web.forms import day, identity, posted, text, upload
from loftbook.web.rendering import AtDesk, render
from loftbook.web.waiting import WaitingList, WaitingRoom

router = APIRouter(include_in_schema=False)

_Form = Annotated[FormData, Depends(posted)]
_ANSWER = "answer:"
# In the order in which a coach wants them: what was lost first, what went well last.
VERDICTS = (
    ("refuse", "Cannot be read"),
    ("skip", "Passed over"),
    ("take", "Taken as it stands"),
    ("same", "In the book already"),
)


def waiting_room(request: Request) -> WaitingRoom:
    """Where chosen files wait for the coach's yes."""
    room: WaitingRoom = request.app.state.waiting
    return room


_Room = Annotated[WaitingRoom, Depends(waiting_room)]


@router.get("/import")
def choose_page(request: Request, desk: AtDesk) -> Response:
    """Which list, of which kind."""
    return _choose(request, desk)


@router.post("/import")
def chosen_page(request: Request, desk: AtDesk, room: _Room, form: _Form) -> Response:
    """Keep the file waiting and go to its report; nothing is written."""
    try:
        name, data = upload(form, "file")
        kind = "roster" if text(form, "kind") == "roster" else "camp"
        as_of = day(form, "as_of", "the day of the roster") if text(form, "as_of") else None
        chosen = WaitingList(name, data, kind, identity(form, "camp"), text(form, "which_sheet"), as_of)
        _read(desk, chosen, {}, write=False)
    except LoftbookError as error:
        return _choose(request, desk, status=422, fault=error.sentence())
    return RedirectResponse(f"/import/{room.put(chosen)}", 303)


@router.get("/import/{token}")
def report_page(request: Request, desk: AtDesk, room: _Room, token: str) -> Response:
    """What was understood, row by row, and what is asked."""
    chosen = room.get(token)
    report = _read(desk, chosen, {}, write=False)
    return _report(request, chosen, report)


@router.post("/import/{token}")
def answered_page(request: Request, desk: AtDesk, room: _Room, token: str, form: _Form) -> Response:
    """Read the list again with the answers; write it only where the coach said yes."""
    chosen = room.get(token)
    answers = {
        name.removeprefix(_ANSWER): text(form, name)
        for name in form
        if name.startswith(_ANSWER) and text(form, name)
    }
    asked_for = answers.get("sheet", "")
    if asked_for != text(form, "sheet"):
        # Rows of another sheet are asked other questions, and nobody has seen its report yet.
        report = _read(desk, chosen, {"sheet": asked_for}, write=False)
        return _report(request, chosen, report)
    write = text(form, "do") == "write"
    report = _read(desk, chosen, answers, write=write)
    if text(form, "do") == "save":
        return Response(report.as_markdown(), media_type="text/markdown", headers=_SAVED)
    return _report(request, chosen, report, written=write)


_SAVED = {"Content-Disposition": 'attachment; filename="how-the-list-was-read.md"'}


def _read(desk: Desk, chosen: WaitingList, answers: dict[str, str], *, write: bool) -> ListReport:
    sheet = "" if answers.get("sheet") else chosen.sheet
    if chosen.kind == "roster":
        return read_roster_file(
            desk,
            chosen.data,
            chosen.name,
            answers=answers,
            sheet=sheet,
            as_of=chosen.as_of,
            camp=chosen.camp,
            write=write,
        )
    return read_camp_file(
        desk, chosen.data, chosen.name, camp=chosen.camp, answers=answers, sheet=sheet, write=write
    )


def _choose(request: Request, desk: Desk, *, status: int = 200, fault: str = "") -> Response:
    return render(request, "pages/bring_in/choose.html", status=status, fault=fault, camps=all_camps(desk))


def _report(
    request: Request,
    chosen: WaitingList,
    report: ListReport,
    *,
    written: bool = False,
) -> Response:
    return render(
        request,
        "pages/bring_in/report.html",
        chosen=chosen,
        report=report,
        written=written,
        verdicts=VERDICTS,
        counts=report.counts,
    )
