"""One result, written by a program; the page for entry goes through the same desk function."""

from __future__ import annotations

from typing import Any
from uuid import UUID

from fastapi import APIRouter, HTTPException, Response

from loftbook.book.entries import entry_of
from loftbook.desk.entry import write_entry
from loftbook.desk.people import find_camp
from loftbook.errors import Refused
from loftbook.web.api.shapes import EntryShape, Trouble, WrittenShape
from loftbook.web.rendering import AtDesk

router = APIRouter(prefix="/api", tags=["write"])

_ANSWERS: dict[int | str, dict[str, Any]] = {
    200: {"model": WrittenShape, "description": "In the book already; it stands there once"},
    201: {"model": WrittenShape, "description": "Written"},
    400: {"model": Trouble, "description": "Cannot be read at all"},
    403: {"model": Trouble, "description": "Sent from another site"},
    404: {"model": Trouble, "description": "No such camp"},
    409: {"model": Trouble, "description": "The id names another result; nothing was overwritten"},
    413: {"model": Trouble, "description": "Too large"},
    422: {"model": Trouble, "description": "Cannot stand as it is; the sentence says why"},
}


@router.post("/camps/{camp_id}/attempts", status_code=201, response_model=WrittenShape, responses=_ANSWERS)
def write(desk: AtDesk, camp_id: UUID, entry: EntryShape, response: Response) -> object:
    """Write one result at a camp. The same id with the same content is written once."""
    find_camp(desk, str(camp_id))  # an unknown one is 404
    written = write_entry(desk, entry_of(entry, camp=camp_id))
    if written.status == "refused":
        raise Refused(written.why)
    if written.status == "conflict":
        raise HTTPException(409, _OTHER)
    response.status_code = 200 if written.status == "duplicate" else 201
    return {"status": written.status, "id": entry.id}


_OTHER = "Another result was written under this id before; nothing was overwritten. Make a new id and send it again."
