"""The desk's answers as JSON: the same names and numbers as on the pages."""

from __future__ import annotations

from typing import Any
from uuid import UUID

from fastapi import APIRouter

from loftbook.desk.answers import athlete_answer, camp_answer, squad_answer
from loftbook.desk.entry import entry_sheet
from loftbook.desk.people import all_camps
from loftbook.desk.plain import as_plain
from loftbook.web.api.shapes import (
    AthleteAnswerShape,
    AttemptShape,
    CampAnswerShape,
    CampShape,
    LadderShape,
    SquadShape,
    Trouble,
)
from loftbook.web.rendering import AtDesk

router = APIRouter(prefix="/api", tags=["read"])

_UNKNOWN: dict[int | str, dict[str, Any]] = {
    404: {"model": Trouble, "description": "Nobody or nothing of that id is in the book"},
    422: {"model": Trouble, "description": "Not an id"},
}


@router.get("/squad", response_model=SquadShape)
def squad(desk: AtDesk) -> object:
    """Everybody in the book with her last standing."""
    return as_plain(squad_answer(desk))


@router.get("/camps", response_model=list[CampShape])
def camps(desk: AtDesk) -> object:
    """Every camp, newest first."""
    return as_plain(all_camps(desk))


@router.get("/camps/{camp_id}", response_model=CampAnswerShape, responses=_UNKNOWN)
def camp(desk: AtDesk, camp_id: UUID) -> object:
    """One camp: who stood where, what changed, what was to be expected."""
    return as_plain(camp_answer(desk, camp_id))


@router.get("/camps/{camp_id}/attempts", response_model=list[AttemptShape], responses=_UNKNOWN)
def attempts(desk: AtDesk, camp_id: UUID) -> object:
    """What was written at this camp; never anything of an earlier one."""
    return [as_plain(turn) for turns in entry_sheet(desk, camp_id).entered.values() for turn in turns]


@router.get("/athletes/{athlete_id}", response_model=AthleteAnswerShape, responses=_UNKNOWN)
def athlete(desk: AtDesk, athlete_id: UUID) -> object:
    """One gymnast over her camps."""
    return as_plain(athlete_answer(desk, athlete_id))


@router.get("/ladder", response_model=LadderShape)
def ladder(desk: AtDesk) -> object:
    """The ladder in use, with its edition."""
    return as_plain(desk.ladder)
