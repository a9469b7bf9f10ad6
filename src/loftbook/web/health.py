"""Two addresses for whoever watches a server: is it there, can it serve. Neither needs a key or names anybody."""

from __future__ import annotations

from typing import Any

from fastapi import APIRouter
from starlette.requests import Request
from starlette.responses import JSONResponse

from loftbook.desk.health import health
from loftbook.web.access import Door, door_of
from loftbook.web.rendering import keeper_of

router = APIRouter(tags=["health"], include_in_schema=False)  # for a watcher, not of the book's JSON


@router.get("/health")
def alive() -> dict[str, str]:
    """The program runs; nothing else is asked."""
    return {"status": "alive"}


@router.get("/health/serving")
def serving(request: Request) -> JSONResponse:
    """Whether the book can be served; what was looked at is told on this machine only."""
    found = health(keeper_of(request))
    told: dict[str, Any] = {"status": "serving" if found.well else "not serving"}
    if door_of(request.scope) is Door.LAPTOP:
        told["looked_at"] = {one.name: {"well": one.well, "says": one.says} for one in found.findings}
    return JSONResponse(told, 200 if found.well else 503)
