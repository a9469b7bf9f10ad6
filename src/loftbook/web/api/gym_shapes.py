"""What a device sends and is told, as far as it is promised; answers may hold more than is named here."""

from __future__ import annotations

from typing import Any, Literal
from uuid import UUID

from pydantic import AwareDatetime, BaseModel

from loftbook.desk.sorting import MOST_RECORDS
from loftbook.web.api.shapes import Open, Trouble


class DeviceShape(Open):
    """Who a device is; role null where nobody let it in."""

    role: str | None
    here: bool
    secure: bool
    device: dict[str, Any] | None


class SheetShape(Open):
    """What an entry device gets for the day."""

    version: int
    revision: int
    camp: dict[str, Any]
    device: dict[str, Any]
    athletes: list[dict[str, Any]]
    rungs: list[dict[str, Any]]
    mine: list[dict[str, Any]]


class AnswerShape(BaseModel):
    """What became of one record; `again`: it may stand later, when what it needs is there."""

    id: str | None
    status: Literal["stored", "duplicate", "conflict", "refused"]
    why: str
    again: bool
    at: AwareDatetime | None


class ClockShape(BaseModel):
    """By how many seconds the device's clock is thought to be behind."""

    skew_s: float | None
    why: str


class TakenShape(BaseModel):
    """An answer for each record, in the order of the batch, given after it is kept."""

    received_at: AwareDatetime
    revision: int
    clock: ClockShape
    answers: list[AnswerShape]


class EarlierShape(BaseModel):
    """The marks of the camp before, or why they are not shown yet."""

    shown: bool
    why: str
    camp: dict[str, Any] | None
    attempts: list[dict[str, Any]]


class ClashShape(Open):
    """Two versions of a turn that disagree, or a record that was set aside."""

    kind: str
    key: UUID | str | int


class ClashesShape(BaseModel):
    """All that waits for the head coach at a camp."""

    clashes: list[ClashShape]


ANSWERS: dict[int | str, dict[str, Any]] = {
    401: {"model": Trouble, "description": "This device was not let in"},
    403: {"model": Trouble, "description": "Not for this role, or not over this line"},
    404: {"model": Trouble, "description": "No such camp or child"},
    422: {"model": Trouble, "description": "Cannot stand as it is; the sentence says why"},
}
SENT: dict[int | str, dict[str, Any]] = ANSWERS | {
    400: {"model": Trouble, "description": "Cannot be read at all"},
    413: {"model": Trouble, "description": "Too large"},
    429: {
        "model": Trouble,
        "description": "Too many batches in a minute; the sentence says how long to wait",
    },
}
#: Each record is read on its own, so that a bad one loses no other; nothing more is asked of the batch.
BATCH: dict[str, Any] = {
    "requestBody": {
        "required": True,
        "content": {
            "application/json": {
                "schema": {
                    "type": "object",
                    "required": ["records"],
                    "properties": {
                        "records": {"type": "array", "maxItems": MOST_RECORDS, "items": {}},
                        "sent_at": {"description": "The device's clock, with its zone"},
                    },
                }
            }
        },
    }
}
