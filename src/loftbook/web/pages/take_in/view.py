"""Taking in a file of results that a device could not send."""

from __future__ import annotations

from typing import Annotated

from fastapi import APIRouter, Depends
from starlette.datastructures import FormData
from starlette.requests import Request
from starlette.responses import Response

from loftbook.desk.people import all_camps
from loftbook.desk.waiting_file import FileTaken, take_in_file
from loftbook.errors import Refused
from loftbook.web.forms import posted, upload
from loftbook.web.rendering import AtDesk, render

router = APIRouter(include_in_schema=False)


@router.get("/take-in")
def choose_file_page(request: Request) -> Response:
    """Which file."""
    return _page(request)


@router.post("/take-in")
def taken_page(request: Request, desk: AtDesk, form: Annotated[FormData, Depends(posted)]) -> Response:
    """What became of each record in it."""
    try:
        name, data = upload(form, "file")
        taken = take_in_file(desk, data, name)
    except Refused as refused:
        return _page(request, fault=refused.sentence())
    latest = all_camps(desk)[:1]
    return _page(request, taken=taken, clashes=f"/camps/{latest[0].id}/clashes" if latest else "")


def _page(
    request: Request, *, taken: FileTaken | None = None, fault: str = "", clashes: str = ""
) -> Response:
    return render(
        request,
        "pages/take_in/template.html",
        status=422 if fault else 200,
        taken=taken,
        fault=fault,
        clashes=clashes,
    )
