"""A film as JSON, for its page in the browser. The contract is in tests/contracts/film.json."""

from __future__ import annotations

from collections.abc import Mapping
from math import isfinite
from typing import Annotated, Any
from uuid import UUID

from fastapi import APIRouter, Depends
from starlette.requests import Request

from loftbook.desk.film import answers, attaching, correcting
from loftbook.desk.film.port import Click
from loftbook.desk.film.told import film_told, job_told, track_told
from loftbook.desk.film.working import job_of
from loftbook.errors import Refused
from loftbook.web.access import Asking, Known
from loftbook.web.api.posted import posted_json, word
from loftbook.web.rendering import AtDesk

router = APIRouter(prefix="/api/film", include_in_schema=False)
LARGEST = 1_000_000  # bytes of points


async def _small_json(request: Request) -> Mapping[str, Any]:
    if len(await request.body()) > LARGEST:
        raise Refused("more points than anybody puts", f"at most {LARGEST // 1000} kB", "send fewer at once")
    return await posted_json(request)


Sent = Annotated[Mapping[str, Any], Depends(_small_json)]


@router.get("/{clip_id}")
def film(desk: AtDesk, clip_id: UUID) -> dict[str, Any]:
    """The film, the work on it, what people said, what was measured."""
    return film_told(answers.film_answer(desk, clip_id))


@router.get("/{clip_id}/track")
def track(desk: AtDesk, clip_id: UUID) -> dict[str, Any]:
    """Where the joints are, and when each frame is shown."""
    answers.must_be_shown(desk, clip_id)
    return track_told(answers.track_answer(desk, clip_id))


@router.get("/{clip_id}/job")
def job(desk: AtDesk, clip_id: UUID) -> dict[str, Any]:
    """How far the work on it is; null where there was none."""
    return {"job": job_told(job_of(desk, clip_id))}


@router.post("/{clip_id}/points")
def points(desk: AtDesk, who: Asking, clip_id: UUID, sent: Sent) -> dict[str, Any]:
    """Joints put by hand, or taken back; answers with the film as it is measured now."""
    rows = sent.get("points")
    if not isinstance(rows, list) or not all(isinstance(row, Mapping) for row in rows):
        raise Refused("no list of points", "a list called points", "send it as the film’s page does")
    put = [
        correcting.Put(_whole(row, "frame"), word(row, "joint"), _number(row, "x"), _number(row, "y"))
        for row in rows
    ]
    correcting.put_points(desk, clip_id, put, by=_by(who, sent))
    return film(desk, clip_id)


@router.post("/{clip_id}/bed")
def bed(desk: AtDesk, who: Asking, clip_id: UUID, sent: Sent) -> dict[str, Any]:
    """The line of the bed, for every film of this camera place."""
    ends = sent.get("ends")
    if not isinstance(ends, list) or not all(_is_number(end) for end in ends):
        raise Refused("no ends of a line", "a list called ends: x1, y1, x2, y2", "mark both ends of the bed")
    correcting.draw_bed(desk, clip_id, ends, by=_by(who, sent))
    return film(desk, clip_id)


@router.post("/{clip_id}/speed")
def speed(desk: AtDesk, who: Asking, clip_id: UUID, sent: Sent) -> dict[str, Any]:
    """How many times slower than life it plays, as somebody confirms."""
    correcting.confirm_speed(desk, clip_id, _whole(sent, "times"), by=_by(who, sent))
    return film(desk, clip_id)


@router.post("/{clip_id}/flight")
def flight(desk: AtDesk, who: Asking, clip_id: UUID, sent: Sent) -> dict[str, Any]:
    """Which of its flights is meant, counted from 0; null for the one with most turning."""
    meant = None if sent.get("flight") is None else _whole(sent, "flight")
    correcting.choose_flight(desk, clip_id, meant, by=_by(who, sent))
    return film(desk, clip_id)


@router.post("/{clip_id}/measure")
def measure(desk: AtDesk, who: Asking, clip_id: UUID, sent: Sent) -> dict[str, Any]:
    """Queue the tracking anew, from a click or with another model."""
    at = sent.get("at")
    click = None
    if isinstance(at, Mapping):
        x, y = _number(at, "x"), _number(at, "y")
        if x is None or y is None:
            raise Refused("a click without a place", "x, y and frame", "point at her hips")
        click = Click(x, y, _whole(at, "frame"))
    model = word(sent, "model") or "heavy"
    made = attaching.measure_clip_again(desk, clip_id, by=_by(who, sent), model=model, at=click)
    return {"job": job_told(made)}


@router.post("/{clip_id}/cancel")
def cancel(desk: AtDesk, clip_id: UUID) -> dict[str, Any]:
    """Ask for the work on it to stop."""
    attaching.cancel_work_on(desk, clip_id)
    return job(desk, clip_id)


def _by(who: Known, sent: Mapping[str, Any]) -> str:
    return word(sent, "by") or (who.device.rater if who.device else "") or who.visitor.name or "head coach"


def _is_number(value: object) -> bool:
    return (
        isinstance(value, int | float)
        and not isinstance(value, bool)
        and abs(value) < 1e9
        and isfinite(value)
    )


def _number(sent: Mapping[str, Any], name: str) -> float | None:
    value = sent.get(name)
    if value is None:
        return None
    if not _is_number(value):
        raise Refused(f"{name} that is no number", "pixels of the upright picture", "send a number")
    return float(value)


def _whole(sent: Mapping[str, Any], name: str) -> int:
    value = sent.get(name)
    if value is None or not _is_number(value) or value != int(value):
        raise Refused(f"no whole number called {name}", "one", "send it as the film’s page does")
    return int(value)
