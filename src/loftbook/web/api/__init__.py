"""The same answers as JSON, and one door for results; described by /api/openapi.json."""

from __future__ import annotations

from fastapi import APIRouter

from loftbook.web.api import clashes, device, film, gym, lab, reading, writing


def api_routers() -> tuple[APIRouter, ...]:
    """The routers under /api; the first is found the quickest."""
    return (
        gym.router,
        reading.router,
        writing.router,
        device.router,
        clashes.router,
        lab.router,
        film.router,
    )
