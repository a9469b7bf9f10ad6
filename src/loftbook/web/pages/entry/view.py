"""Writing results down: choose who, then one form; corrections and withdrawals beside it.

What an earlier camp says is asked of the desk only for rungs on which this camp has a
mark already. Before that it is not in the page at all, so no browser can show it.
"""

from __future__ import annotations

from typing import Annotated
from uuid import UUID

from fastapi import APIRouter, Depends
from starlette.datastructures import FormData
from starlette.requests import Request
from starlette.responses import RedirectResponse, Response

from loftbook.book.attempts import Attempt
from loftbook.desk import Desk
from loftbook.desk.entry import (
    EntrySheet,
    earlier_marks_of,
    entry_sheet,
    new_id,
    stop_prompt,
    withdraw,
    write_entry,
)
from loftbook.desk.people import find_camp
from loftbook.errors import Refused, UnknownThing
from loftbook.ladder.scales import Help, Landing, Outcome, Rotation, TakeOff
from loftbook.web.forms import identity, posted, text
from loftbook.web.pages.entry.typed import Typed, entry_of, typed_of
from loftbook.web.rendering import AtDesk, render

router = APIRouter(include_in_schema=False)

_Form = Annotated[FormData, Depends(posted)]
_A_DAY = 24 * 3600


@router.get("/entry")
def latest_camp(desk: AtDesk) -> RedirectResponse:
    """The latest camp's page for writing down."""
    try:
        return RedirectResponse(f"/camps/{find_camp(desk).id}/entry", 303)
    except UnknownThing:
        return RedirectResponse("/camps", 303)


@router.get("/camps/{camp_id}/entry")
def choose_page(request: Request, desk: AtDesk, camp_id: UUID) -> Response:
    """Everybody at this camp, with what is written so far; `find` looks for others in the book."""
    find = request.query_params.get("find", "")[:200]
    sheet = entry_sheet(desk, camp_id, find=find)
    tests = tuple(rung for rung in sheet.rungs if rung.tested)
    return render(
        request, "pages/entry/choose.html", sheet=sheet, tests=tests, find=find, invented=sheet.camp.invented
    )


@router.get("/camps/{camp_id}/entry/{athlete_id}")
def entry_page(request: Request, desk: AtDesk, camp_id: UUID, athlete_id: UUID) -> Response:
    """The form for one turn of one child; `correct` names the turn to be put right."""
    sheet = entry_sheet(desk, camp_id, also=athlete_id)
    wrong = _turn(sheet, athlete_id, request.query_params.get("correct", ""))
    typed = typed_of(wrong) if wrong else _asked_for(request)
    return _page(request, desk, sheet, athlete_id, typed=typed)


@router.post("/camps/{camp_id}/entry/{athlete_id}")
def write_page(request: Request, desk: AtDesk, camp_id: UUID, athlete_id: UUID, form: _Form) -> Response:
    """Write the turn and come back to her page; a refused one stays in the form."""
    # The same form sent again keeps the time of the first, so that it is the same result.
    sent_before = _turn(entry_sheet(desk, camp_id), athlete_id, text(form, "id"))
    entry = entry_of(form, camp_id, athlete_id, at=sent_before.at if sent_before else desk.clock())
    written = write_entry(desk, entry)
    if written.status in ("refused", "conflict"):
        fault = written.why if written.status == "refused" else _CONFLICT
        sheet = entry_sheet(desk, camp_id, also=athlete_id)
        return _page(request, desk, sheet, athlete_id, typed=Typed.from_entry(entry), fault=fault)
    answer = RedirectResponse(f"{request.url.path}?rung={entry.rung}&written={written.status}", 303)
    answer.set_cookie("rater", _cookie(entry.rater), max_age=_A_DAY, httponly=True, samesite="strict")
    return answer


@router.post("/camps/{camp_id}/entry/{athlete_id}/withdraw")
def withdraw_page(desk: AtDesk, camp_id: UUID, athlete_id: UUID, form: _Form) -> RedirectResponse:
    """Take a turn back that was written by mistake; it stays in the book, withdrawn."""
    turn = identity(form, "attempt")
    if turn is not None and not text(form, "sure"):
        raise Refused(
            "a turn to take back, not yet confirmed", "the box ticked", "go back, tick the box, and send it"
        )
    if turn is None:
        raise Refused("no turn to withdraw", "one of hers", "go back and choose it again")
    by = text(form, "by") or "somebody at this page"
    withdraw(desk, turn, by=by, reason=text(form, "reason"), place=(camp_id, athlete_id))
    return RedirectResponse(f"/camps/{camp_id}/entry/{athlete_id}?written=withdrawn", 303)


_CONFLICT = (
    "This form had been sent before with something else in it; that stands in the book and was not overwritten. "
    "Look at what is written at this camp, below, before you send this as another turn."
)


def _page(
    request: Request, desk: Desk, sheet: EntrySheet, athlete_id: UUID, *, typed: Typed, fault: str = ""
) -> Response:
    place = [athlete.id for athlete in sheet.athletes]
    if athlete_id not in place:
        raise UnknownThing("nobody of that id in this book", "a child of the book", "choose her in the list")
    here = place.index(athlete_id)
    marked = {rung: turns for (who, rung), turns in sheet.entered.items() if who == athlete_id}
    return render(
        request,
        "pages/entry/template.html",
        status=422 if fault else 200,
        fault=fault,
        sheet=sheet,
        athlete=sheet.athletes[here],
        before=sheet.athletes[here - 1] if here else None,
        after=sheet.athletes[here + 1] if here + 1 < len(place) else None,
        typed=typed,
        entry_id=new_id(desk),
        marked=marked,
        earlier=earlier_marks_of(desk, sheet.camp.id, athlete_id, marked),
        rungs={rung.key: rung for rung in sheet.rungs},
        groups=dict(desk.ladder.groups),
        rater=typed.rater or _from_cookie(request.cookies.get("rater", "")) or _only(sheet.camp.raters),
        stop=stop_prompt(desk, sheet, athlete_id),
        written=request.query_params.get("written", ""),
        scales=SCALES,
        invented=sheet.camp.invented,
    )


# Help goes from nobody in, which is the camp's standard, to the full belt; the two that were
# not written down exactly come last.
SCALES = {
    "outcomes": tuple(Outcome),
    "helps": tuple(sorted(Help, key=lambda step: (step in (Help.BELT, Help.HAND), -step))),
    "rotations": tuple(Rotation),
    "take_offs": tuple(TakeOff),
    "landings": tuple(Landing),
}


def _turn(sheet: EntrySheet, athlete_id: UUID, wanted: str) -> Attempt | None:
    turns = (turn for (who, _), rows in sheet.entered.items() if who == athlete_id for turn in rows)
    return next((turn for turn in turns if str(turn.id) == wanted), None)


def _asked_for(request: Request) -> Typed:
    """The form as a link asked for it: the rung of the turn before, or a stop."""
    asked = request.query_params
    return Typed(rung=asked.get("rung", ""), outcome=asked.get("outcome", ""))


def _only(raters: tuple[str, ...]) -> str:
    """The camp's rater where there is just one."""
    return raters[0] if len(raters) == 1 else ""


def _cookie(name: str) -> str:
    """A name as a cookie can hold it."""
    return name.encode().hex()


def _from_cookie(value: str) -> str:
    try:
        return bytes.fromhex(value).decode()
    except ValueError:
        return ""
