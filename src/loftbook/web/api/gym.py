"""What the entry screen asks for and sends: the day's sheet, batches of records, the marks of before."""

from __future__ import annotations

import hashlib
import json
from asyncio import get_running_loop, wrap_future
from functools import partial
from typing import Any
from uuid import UUID

from fastapi import APIRouter
from starlette.requests import Request
from starlette.responses import JSONResponse, Response

from loftbook.book.records import moment_of
from loftbook.desk.plain import as_plain
from loftbook.desk.sheet import Who, day_sheet, earlier_for
from loftbook.desk.sync import MOST_RECORDS, Batch, Taken
from loftbook.errors import Refused
from loftbook.web.access import Asking, Known, known_of
from loftbook.web.api.gym_shapes import ANSWERS, BATCH, SENT, EarlierShape, SheetShape, TakenShape
from loftbook.web.api.posted import posted_json
from loftbook.web.rendering import AtDesk

router = APIRouter(prefix="/api", tags=["gym"])


@router.get(
    "/sheet", responses=ANSWERS | {200: {"model": SheetShape}, 304: {"description": "As you have it"}}
)
def sheet(request: Request, desk: AtDesk, who: Asking, camp: UUID | None = None) -> Response:
    """Today's first names, numbers, rungs and scales; 304 where nothing has changed."""
    made = day_sheet(desk, _who(who), camp)
    same = {key: value for key, value in made.items() if key not in ("made_at", "revision")}
    digest = hashlib.sha256(json.dumps(same, sort_keys=True).encode()).hexdigest()[:16]
    tag = f'"{digest}"'
    headers = {"ETag": tag, "Cache-Control": "no-store"}
    if request.headers.get("if-none-match") == tag:
        return Response(status_code=304, headers=headers)
    return JSONResponse(made, headers=headers)


@router.post("/sync", responses=SENT | {200: {"model": TakenShape}}, openapi_extra=BATCH)
async def sync(request: Request) -> Response:
    """Keeps a batch of records, each answered for itself."""
    who, sent = await known_of(request), await posted_json(request)
    name = str(who.device.id) if who.device else "laptop"
    wait = request.app.state.batches.wait(name)
    if wait:
        body = {"title": "Too many batches", "error": _SLOWER.format(wait=wait), "code": "too_many"}
        return JSONResponse(body, 429, headers={"Retry-After": str(wait)})
    records = sent.get("records")
    if not isinstance(records, list):
        raise Refused("a batch without a list of records", "a list called records", "send it again")
    if len(records) > MOST_RECORDS:
        raise Refused(
            f"{len(records)} records", f"at most {MOST_RECORDS} in one batch", "send the rest in another"
        )
    batch = Batch(records, device=who.device, sent_at=moment_of(sent.get("sent_at")))
    # The writing is done in the intake's thread, so none of forty devices holds up one of ours.
    soon = partial(get_running_loop().call_later, _TOGETHER)
    return JSONResponse(_told(await wrap_future(request.app.state.intake.hand_in(batch, soon=soon))))


_TOGETHER = 0.005  # s; who sends within it is written in one go. No thumb feels it
_SLOWER = "Too many batches in a minute. Nothing is lost. What to do: send again in {wait} seconds."


@router.get("/earlier", responses=ANSWERS | {200: {"model": EarlierShape}})
def earlier(desk: AtDesk, who: Asking, camp: UUID, athlete: UUID, rung: str) -> dict[str, Any]:
    """The marks of the camp before, once this device's mark is in."""
    private = who.visitor.private
    found = earlier_for(desk, _who(who), camp=camp, athlete=athlete, rung=rung[:200], private=private)
    return {
        "shown": found.shown,
        "why": found.why,
        "camp": {"name": found.camp.name, "starts": as_plain(found.camp.starts)} if found.camp else None,
        "attempts": [{key: as_plain(getattr(a, key)) for key in _EARLIER} for a in found.attempts],
    }


_EARLIER = ("outcome", "help", "take_off", "landing", "rotation", "marks", "note", "rater", "at")


def _who(known: Known) -> Who:
    if known.device is not None:
        return Who(known.device)
    return Who(name=known.visitor.name)


def _told(taken: Taken) -> dict[str, Any]:
    behind = taken.skew.behind
    return {
        "received_at": as_plain(taken.received_at),
        "revision": taken.revision,
        "clock": {"skew_s": None if behind is None else behind.total_seconds(), "why": taken.skew.why},
        "answers": [
            {"id": a.id, "status": a.status, "why": a.why, "again": a.again, "at": as_plain(a.at)}
            for a in taken.answers
        ],
    }
