"""Writes down what leaves the machine through the pages: every file that is taken away, and what tablets are shown.

A new address that gives a file away is noted without a word here, since what is noted is
the answer itself: a browser that is told to keep it as a file. The line is written before
the first byte goes.
"""

from __future__ import annotations

from datetime import date
from uuid import UUID

from starlette.concurrency import run_in_threadpool
from starlette.datastructures import Headers
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from loftbook.book.access import Role
from loftbook.desk import Desk
from loftbook.desk.privacy.leaving import Leaving, note_leaving, note_sheet
from loftbook.web.access import Door, Known, door_of

_SHEET = "/api/sheet"
#: What a file is and for whom, by the end of its address; what is not named here is told by that end itself.
_KNOWN = {
    "letter.pdf": ("letter", "the home coach"),
    "letters.zip": ("letters of a camp", "the home coaches"),
    "evidence.pdf": ("evidence for a next step", "own coaches"),
    "mail": ("draft of a mail: letter and answer form", "the home coach, a parent, a second adult"),
    "answer.html": ("form for the home coach's answer", "the home coach"),
    "papers.zip": ("all papers of a camp", "home coaches, parents, children, own coaches"),
    "parent.pdf": ("copy of the letter for parents", "a parent or guardian"),
    "hers.pdf": ("her own sheet", "the child herself"),
    "everything.zip": ("archive of all that is held", "herself, a parent or guardian"),
    "lists.pdf": ("lists of a camp on paper", "own coaches"),
    "programme-summary.pdf": ("summary without names", "the programme"),
    "belt-list.pdf": ("belt list", "own coaches"),
    "blank.pdf": ("sheets to write on", "own coaches"),
    "camp-lists.pdf": ("lists of a camp on paper", "own coaches"),
    "blank-sheets.pdf": ("sheets to write on", "own coaches"),
}
#: Files about nobody: the certificate, a teaching card of a plan.
_OF_NOBODY = frozenset({"loftbook-ca.crt", "card.pdf"})


class Outgoing:
    """Notes what the answers of an app give away."""

    def __init__(self, app: ASGIApp, *, desk: Desk) -> None:
        self._app, self._desk = app, desk
        self._shown: set[tuple[UUID, date, str]] = set()  # each device once a day and kind

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Answer for the app, and note what leaves."""
        if scope["type"] != "http":
            await self._app(scope, receive, send)
            return

        async def noting(message: Message) -> None:
            if message["type"] == "http.response.start" and message["status"] == 200:
                await self._note(scope, Headers(raw=message["headers"]))
            await send(message)

        await self._app(scope, receive, noting)

    async def _note(self, scope: Scope, headers: Headers) -> None:
        who: Known | None = scope.get("state", {}).get("known")
        if who is None:
            return
        name = scope["path"].rsplit("/", 1)[-1]
        if headers.get("content-disposition", "").startswith("attachment"):
            if name not in _OF_NOBODY:
                await run_in_threadpool(note_leaving, self._desk, _leaving(scope, name), by=_by(who))
        elif who.device is not None and door_of(scope) is not Door.LAPTOP:
            await self._note_shown(scope, who)

    async def _note_shown(self, scope: Scope, who: Known) -> None:
        """What a tablet or phone was shown, once a day: the day's sheet, or pages of the book."""
        assert who.device is not None
        sheet = scope["path"] == _SHEET
        if not sheet and (
            who.device.role is Role.ENTRY or scope["path"].startswith(("/gym", "/static", "/fonts"))
        ):
            return
        once = (who.device.id, self._desk.clock().date(), "sheet" if sheet else "pages")
        if once in self._shown:
            return
        self._shown.add(once)
        if sheet:
            await run_in_threadpool(note_sheet, self._desk, who.device)
        else:
            pages = Leaving("pages of the book", "whoever holds that device", everybody=True)
            await run_in_threadpool(note_leaving, self._desk, pages, by=_by(who))


def _by(who: Known) -> str:
    return who.visitor.name or "somebody"


def _leaving(scope: Scope, name: str) -> Leaving:
    told = scope.get("path_params", {})
    what, whom = _KNOWN.get(name, (name, "whoever took it"))
    athlete, camp, film = (_id(told.get(key)) for key in ("athlete_id", "camp_id", "clip_id"))
    if name.startswith("take.") and film:
        what, whom = f"film or its numbers ({name.removeprefix('take.')})", "whoever took it"
    everybody = name.startswith("squad.")
    about = (athlete,) if athlete else ()
    return Leaving(what, whom, about, camp if not everybody else None, film=film, everybody=everybody)


def _id(value: object) -> UUID | None:
    try:
        return UUID(str(value)) if value is not None else None
    except ValueError:
        return None
