"""A file of waiting results, saved by a device that could not send them: taken in by the same path."""

from __future__ import annotations

import json
from collections import Counter
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any
from uuid import UUID

from loftbook.book.devices import Device
from loftbook.desk import Desk
from loftbook.desk.sync import MOST_RECORDS, Answer, Batch, take_in
from loftbook.errors import Refused
from loftbook.store import devices

MOST_IN_FILE = 10_000
_WHAT = "a file that the entry screen saved"
_TODO = "choose the file loftbook-waiting-….json"


@dataclass(frozen=True)
class FileTaken:
    """What became of the records of a file, in its order."""

    name: str
    device: str
    answers: tuple[Answer, ...]

    @property
    def counts(self) -> Mapping[str, int]:
        """How many were stored, duplicate, in conflict, refused."""
        found = Counter(answer.status for answer in self.answers)
        return {status: found[status] for status in ("stored", "duplicate", "conflict", "refused")}


def take_in_file(desk: Desk, data: bytes, name: str) -> FileTaken:
    """Takes a file of waiting results in; twice changes nothing, and nothing in it is lost.

    Raises Refused for a file that is none of ours, or holds too many records.
    """
    records, head = _records(data)
    device = _device(desk, head.get("device"))
    label = f"file {''.join(c for c in name if c.isprintable())[:100]}"
    answers: dict[int, Answer] = {}
    todo = list(range(len(records)))
    while todo:
        for start in range(0, len(todo), MOST_RECORDS):
            some = todo[start : start + MOST_RECORDS]
            batch = Batch([records[index] for index in some], device=device, way=label)
            answers |= dict(zip(some, take_in(desk, batch).answers, strict=True))
        # A correction may stand in the file long before what it corrects.
        later = [index for index in todo if answers[index].again]
        todo = later if len(later) < len(todo) else []
    told = head.get("device")
    said = told.get("name") if isinstance(told, Mapping) else ""
    shown = device.name if device else str(said or "")[:100]
    return FileTaken(name, shown, tuple(answers[index] for index in range(len(records))))


def _records(data: bytes) -> tuple[list[Any], Mapping[str, Any]]:
    try:
        read = json.loads(data.decode("utf-8-sig"))
    except (ValueError, RecursionError) as error:
        cut = " that ends in the middle" if data[:1] in (b"{", b"[") else ""
        raise Refused(
            f"a file{cut} that cannot be read as JSON", _WHAT, f"save it again, or {_TODO}"
        ) from error
    head = read if isinstance(read, Mapping) else {}
    if head and head.get("kind") != "loftbook-waiting":
        raise Refused("a JSON file of another kind", _WHAT, _TODO)
    records = head.get("records") if head else read
    if not isinstance(records, list):
        raise Refused("a file without a list of records", _WHAT, _TODO)
    if len(records) > MOST_IN_FILE:
        raise Refused(
            f"{len(records)} records in one file",
            f"at most {MOST_IN_FILE}",
            "split it; order does not matter",
        )
    return records, head


def _device(desk: Desk, said: object) -> Device | None:
    """The device that saved the file, where the book knows it, let in or not."""
    try:
        wanted = UUID(str(said["id"])) if isinstance(said, Mapping) else None
    except (KeyError, ValueError):
        return None
    with desk.store.read() as connection:
        return next((one for one in devices.devices(connection) if one.id == wanted), None)
