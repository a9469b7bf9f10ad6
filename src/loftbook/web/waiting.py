"""Files that were chosen and not yet written into the book: kept in memory, for a while.

Nothing of a list is in the book before the coach has read the report and said yes.
Until then its bytes wait here under a name that nobody can guess. A restart of the
program forgets them, and the page says to choose the file again.
"""

from __future__ import annotations

import secrets
from collections import OrderedDict
from dataclasses import dataclass
from datetime import date
from threading import Lock
from uuid import UUID

from loftbook.errors import UnknownThing

MOST = 12  # so many files wait at most; the oldest leaves first


@dataclass(frozen=True)
class WaitingList:
    """A chosen file: what kind of list it is said to be, for which camp, which sheet of it, as of which day."""

    name: str
    data: bytes
    kind: str  # "roster" or "camp"
    camp: UUID | None = None
    sheet: str = ""
    as_of: date | None = None


class WaitingRoom:
    """The files that wait; safe with several requests at once."""

    def __init__(self) -> None:
        self._lists: OrderedDict[str, WaitingList] = OrderedDict()
        self._lock = Lock()

    def put(self, chosen: WaitingList) -> str:
        """Keep a file and answer under which name.

        >>> room = WaitingRoom()
        >>> room.get(room.put(WaitingList("a.csv", b"x", "roster"))).data
        b'x'
        """
        token = secrets.token_urlsafe(16)
        with self._lock:
            self._lists[token] = chosen
            while len(self._lists) > MOST:
                self._lists.popitem(last=False)
        return token

    def get(self, token: str) -> WaitingList:
        """The file of that name; raises UnknownThing once it is forgotten."""
        with self._lock:
            found = self._lists.get(token)
        if found is None:
            raise UnknownThing(
                "no list waiting under this address: it was written, or the program was started anew",
                "a list that was just chosen",
                "choose the file again; nothing of it was lost, and twice changes nothing",
            )
        return found
