"""What the JSON looks like, as far as it is promised; answers may hold more than is named here."""

from __future__ import annotations

from datetime import date
from enum import Enum
from typing import Annotated
from uuid import UUID

from pydantic import AwareDatetime, BaseModel, ConfigDict, Field

from loftbook.ladder.scales import Help, Landing, Outcome, Rotation, TakeOff

HelpKey = Enum("HelpKey", {step.name: step.key for step in Help}, type=str)  # type: ignore[misc]
# Without control characters: they cannot be printed, and SQLite cannot hold the first of them.
_PLAIN = r"^[^\x00-\x1f]*$"
Key = Annotated[str, Field(max_length=100, pattern=_PLAIN)]
Words = Annotated[str, Field(max_length=200, pattern=_PLAIN)]
Mark = Annotated[int, Field(ge=1, le=3)]


class Open(BaseModel):
    """An answer that may grow: programs should pass over what they do not know."""

    model_config = ConfigDict(extra="allow")


class Trouble(BaseModel):
    """Why something was not answered or not written, as a sentence for people."""

    title: str
    error: str


class CampShape(Open):
    """A camp."""

    id: UUID
    name: str
    starts: date
    ends: date
    edition: str
    place: str
    bed: str
    take_off: str
    landing: str
    raters: list[str]
    invented: bool
    surfaces_assumed: bool = Field(
        default=False, description="Nobody said take-off and landing: the usual ones."
    )


class NameShape(Open):
    """A name and since when."""

    given: str
    family: str
    since: date | None


class AthleteShape(Open):
    """A gymnast with all that was said about her, oldest first. There is no body weight."""

    id: UUID
    names: list[NameShape]
    born: date | None
    invented: bool


class StandingShape(Open):
    """Where she stood on a rung at a camp."""

    athlete: UUID
    camp: UUID
    rung: str
    state: str
    turns: int
    done: int
    help: HelpKey | None


class AttemptShape(Open):
    """One turn as it was written."""

    id: UUID
    camp: UUID
    athlete: UUID
    rung: str
    outcome: Outcome
    at: Annotated[str, Field(json_schema_extra={"format": "date-time"})]
    rater: str
    help: HelpKey | None
    take_off: TakeOff | None
    landing: Landing | None
    rotation: Rotation | None
    marks: dict[str, int]
    note: str
    replaces: UUID | None


class SquadRowShape(Open):
    """One gymnast in the squad's list."""

    athlete: AthleteShape
    age: float | None
    club: str
    standings: dict[str, StandingShape]
    missing: list[str]


class SquadShape(Open):
    """The squad."""

    athletes: list[SquadRowShape]
    camps: list[CampShape]
    invented: bool


class CampAnswerShape(Open):
    """A camp: who stood where, what changed, what was to be expected."""

    camp: CampShape
    previous: CampShape | None
    athletes: dict[UUID, AthleteShape]
    standings: list[StandingShape]
    turns: int
    invented: bool


class ColumnShape(Open):
    """One camp of hers."""

    camp: CampShape
    standings: dict[str, StandingShape]
    attempts: dict[str, list[AttemptShape]]


class AthleteAnswerShape(Open):
    """A gymnast over her camps, oldest first."""

    athlete: AthleteShape
    age: float | None
    columns: list[ColumnShape]
    invented: bool


class LadderShape(Open):
    """The ladder in use."""

    name: str
    edition: str
    dated: date


class EntryShape(BaseModel):
    """One result to be written. The sender makes the id, so that sending twice writes once."""

    model_config = ConfigDict(extra="forbid")

    id: UUID
    athlete: UUID
    rung: Key
    outcome: Outcome
    rater: Words
    at: AwareDatetime = Field(description="When it was seen, with its time zone.")
    help: HelpKey | None = Field(None, description="Needed with did_it; never assumed.")
    take_off: TakeOff | None = Field(None, description="The camp's own if left out.")
    landing: Landing | None = Field(None, description="The camp's own if left out.")
    rotation: Rotation | None = None
    marks: dict[Key, Mark] = Field(default_factory=dict, max_length=30)
    note: Annotated[str, Field(max_length=2000, pattern=r"^[^\x00]*$")] = ""
    device: Words = ""
    replaces: UUID | None = Field(None, description="The result that this one corrects.")


class WrittenShape(BaseModel):
    """What became of a result: stored, or a duplicate of one that the book holds already."""

    status: str
    id: UUID
