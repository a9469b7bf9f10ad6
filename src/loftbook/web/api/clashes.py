"""What waits for the head coach, as JSON."""

from __future__ import annotations

from typing import Any
from uuid import UUID

from fastapi import APIRouter

from loftbook.desk.clashes import open_clashes
from loftbook.desk.people import find_camp
from loftbook.desk.plain import as_plain
from loftbook.desk.sheet import record_of
from loftbook.web.api.gym_shapes import ANSWERS, ClashesShape
from loftbook.web.rendering import AtDesk

router = APIRouter(prefix="/api", tags=["gym"])


@router.get("/clashes", responses=ANSWERS | {200: {"model": ClashesShape}})
def clashes(desk: AtDesk, camp: UUID | None = None) -> dict[str, Any]:
    """Versions of one turn that disagree, and records that were set aside."""
    found = open_clashes(desk, camp or find_camp(desk).id)
    versions = [
        {
            "kind": one.kind,
            "key": str(one.original.id),
            "athlete": str(one.original.athlete),
            "rung": one.original.rung,
            "original": record_of(one.original),
            "values": [record_of(version) for version in one.versions],
        }
        for one in found.disagreements
    ]
    aside = [
        {
            "kind": "same_id" if kept.row.verdict == "conflict" else "refused",
            "key": kept.row.seq,
            "why": kept.row.why,
            "at": as_plain(kept.row.at),
            "original": record_of(kept.stands) if kept.stands else None,
            "values": [kept.row.record],
        }
        for kept in found.aside
    ]
    return {"clashes": versions + aside}
