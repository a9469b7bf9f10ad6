"""What a form sent, as text: nothing missing is an error here, the desk says what it needs."""

from __future__ import annotations

from collections.abc import AsyncIterator
from datetime import date
from uuid import UUID

from starlette.datastructures import FormData, UploadFile
from starlette.requests import Request

from loftbook.errors import Refused

LONGEST_FIELD = 4000  # characters; what is longer was not typed by a thumb


async def posted(request: Request) -> AsyncIterator[FormData]:
    """The fields of a form; a file in it is read by the view that asked for it, and closed after."""
    async with request.form(max_files=1, max_fields=2000) as form:
        yield form


def text(form: FormData, name: str) -> str:
    """One field as typed, without spaces around it; empty where it was left out.

    >>> text(FormData({"note": " saw the bed "}), "note"), text(FormData(), "note")
    ('saw the bed', '')
    """
    value = form.get(name)
    return value.strip()[:LONGEST_FIELD] if isinstance(value, str) else ""


def day(form: FormData, name: str, what: str) -> date:
    """A day from a date field; raises Refused in words where there is none."""
    typed = text(form, name)
    try:
        return date.fromisoformat(typed)
    except ValueError:
        found = f"{typed!r} as {what}" if typed else f"nothing as {what}"
        raise Refused(found, "a day such as 2026-04-11", "choose it in the calendar of the field") from None


def identity(form: FormData, name: str) -> UUID | None:
    """An id that the page itself put into the form, if there is one.

    >>> identity(FormData({"id": "not an id"}), "id") is None
    True
    """
    try:
        return UUID(text(form, name))
    except ValueError:
        return None


def upload(form: FormData, name: str) -> tuple[str, bytes]:
    """The name and the bytes of a chosen file; raises Refused where none was chosen."""
    value = form.get(name)
    if not isinstance(value, UploadFile) or not value.filename:
        raise Refused("no file", "a list as CSV or XLSX", "choose the file first")
    return value.filename, value.file.read()
