"""Which queue hands out the work of a book: its own table, or Procrastinate where a federation says so."""

from __future__ import annotations

import os
from threading import Lock

from loftbook.desk import Desk
from loftbook.errors import UnknownThing
from loftbook.store.procrastinated import Procrastinated
from loftbook.store.queues import JobQueue, OwnTable

#: The name of the setting: empty for the book's own table, or "procrastinate".
SETTING = "LOFTBOOK_JOBS"
_known: dict[str, Procrastinated] = {}
_door = Lock()


def queue_of(desk: Desk) -> JobQueue:
    """The queue of this book. Raises UnknownThing for a setting that nobody knows, BookFileError for a file."""
    which = os.environ.get(SETTING, "")
    if not which:
        return OwnTable(desk.store)
    if which != "procrastinate":
        raise UnknownThing(f"{SETTING}={which!r}", "procrastinate, or nothing", "correct the setting")
    with _door:
        address = desk.store.address or ""
        if address not in _known:
            _known[address] = Procrastinated(desk.store)
        return _known[address]
