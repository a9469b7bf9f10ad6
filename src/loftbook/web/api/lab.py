"""The lab as JSON: fly a plan, fan it out, look for a forgiving one. The contract is in tests/contracts/lab.json."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Annotated, Any
from uuid import UUID

from fastapi import APIRouter, Depends, Query
from starlette.requests import Request
from starlette.responses import JSONResponse, Response

from loftbook.desk.lab.answers import (
    answer_compare,
    answer_fan,
    answer_fly,
    answer_forgive,
    answer_link,
    answer_plan,
    answer_presets,
)
from loftbook.desk.lab.link import LARGEST_PLAN, LONGEST_CODE
from loftbook.desk.lab.replay import replay_of_film
from loftbook.errors import Refused
from loftbook.web.access import Asking, Known
from loftbook.web.api.posted import posted_json
from loftbook.web.rendering import AtDesk

router = APIRouter(prefix="/api/lab", include_in_schema=False)
LARGEST = 2 * LARGEST_PLAN  # bytes; two plans at most are sent at once


async def _small_json(request: Request) -> Mapping[str, Any]:
    if len(await request.body()) > LARGEST:
        raise Refused(
            "a plan that is far larger than any plan", f"at most {LARGEST // 1000} kB", "send one plan"
        )
    return await posted_json(request)


Sent = Annotated[Mapping[str, Any], Depends(_small_json)]
Code = Annotated[str, Query(max_length=LONGEST_CODE)]


@router.get("/presets")
def presets(
    desk: AtDesk,
    stature_cm: float | None = None,
    table: str | None = None,
    age: float | None = None,
    duration_s: float | None = None,
    athlete: UUID | None = None,
) -> Response:
    """The flights to begin with."""
    return JSONResponse(
        answer_presets(
            desk, stature_cm=stature_cm, table=table, age=age, duration_s=duration_s, athlete_id=athlete
        )
    )


@router.post("/fly")
def fly(request: Request, who: Asking, sent: Sent) -> Response:
    """A plan flown."""
    return _limited(request, who, answer_fly, sent)


@router.post("/fan")
def fan(request: Request, who: Asking, sent: Sent) -> Response:
    """Where a plan lands."""
    return _limited(request, who, answer_fan, sent)


@router.post("/compare")
def compare(request: Request, who: Asking, sent: Sent) -> Response:
    """Two plans beside each other."""
    return _limited(request, who, answer_compare, sent)


@router.post("/forgive")
def forgive(request: Request, sent: Sent) -> Response:
    """Begin to look for a forgiving timing."""
    return JSONResponse(answer_forgive(sent, request.app.state.searches))


@router.get("/forgive/{search}")
def look(request: Request, search: str) -> Response:
    """How far a search is."""
    return JSONResponse(request.app.state.searches.look(search))


@router.post("/forgive/{search}/stop")
def stop(request: Request, search: str) -> Response:
    """Give a search up."""
    return JSONResponse(request.app.state.searches.stop(search))


@router.post("/link")
def link(sent: Sent) -> Response:
    """A plan as a link."""
    return JSONResponse(answer_link(sent))


@router.get("/plan")
def plan(code: Code) -> Response:
    """The plan in a link."""
    return JSONResponse(answer_plan(code))


@router.get("/replay")
def replay(desk: AtDesk, film: UUID) -> Response:
    """A filmed flight as the studio's figure."""
    return JSONResponse(replay_of_film(desk, film))


def _limited(
    request: Request,
    who: Known,
    answer: Callable[[Mapping[str, Any]], dict[str, Any]],
    sent: Mapping[str, Any],
) -> Response:
    name = str(who.device.id) if who.device else "laptop"
    wait = request.app.state.lab_flights.wait(name)
    if wait:
        body = {"title": "Too many flights", "error": _SLOWER.format(wait=wait), "code": "too_many"}
        return JSONResponse(body, 429, headers={"Retry-After": str(wait)})
    return JSONResponse(answer(sent))


_SLOWER = "Too many flights in a minute. What to do: wait {wait} seconds, then drag on."
