"""The same answers as JSON, and one door for results; described by /api/openapi.json."""

from __future__ import annotations

from fastapi import APIRouter

from loftbook.web.api import clashes, device, film, gym, lab, reading, writing


def api_routers() -> tuple[APIRouter, ...]:
    """The routers under /api."""
    return (
        reading.router,
        writing.router,
        device.router,
        gym.router,
        clashes.router,
        lab.router,
        film.router,
    )
