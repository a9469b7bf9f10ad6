"""Every list and paper of a camp, as files to take away."""

from __future__ import annotations

import io
import unicodedata
import zipfile
from uuid import UUID

from fastapi import APIRouter
from starlette.requests import Request
from starlette.responses import HTMLResponse, Response

from loftbook.desk.exporting import FORMS, in_form, one_list
from loftbook.desk.people import all_camps, find_camp
from loftbook.desk.printing import camp_lists_pdf, named_letters
from loftbook.errors import UnknownThing
from loftbook.web.rendering import AtDesk, render

router = APIRouter(include_in_schema=False)

LISTS = {
    "squad": "Everybody in the book, with her last standing",
    "attempts": "Each turn as it was written",
    "inventory": "Where everybody stood on each rung",
    "patterns": "The patterns over the test rungs",
    "changes": "What changed for whom, and why",
    "expected": "How many were to be expected, and how many were seen",
    "never_met": "Families of movement that a child has not met at a camp of this book",
    "twist_side": "Who does not twist to one side in all her skills",
}
_TYPES = {
    "csv": "text/csv; charset=utf-8",
    "xlsx": "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet",
}


@router.get("/lists")
def lists_page(request: Request, desk: AtDesk, camp: UUID | None = None) -> HTMLResponse:
    """What can be taken away of one camp, the latest where none is named."""
    camps = all_camps(desk)
    chosen = find_camp(desk, str(camp) if camp else None) if camps else None
    return render(
        request,
        "pages/lists/template.html",
        camps=camps,
        camp=chosen,
        lists=LISTS,
        forms=FORMS,
        invented=bool(chosen and chosen.invented),
    )


@router.get("/camps/{camp_id}/lists/{name}.{form}")
def list_file(desk: AtDesk, camp_id: UUID, name: str, form: str) -> Response:
    """One list as CSV or XLSX, safe to open in a spreadsheet."""
    if form not in FORMS:
        raise UnknownThing(f"the form {form!r}", "csv or xlsx", "choose one of these on the page of lists")
    data = in_form(one_list(desk, name, camp_id), form)
    return _file(data, _TYPES[form], f"{name}.{form}")


@router.get("/camps/{camp_id}/lists.pdf")
def lists_file(desk: AtDesk, camp_id: UUID) -> Response:
    """The camp's lists on paper."""
    return _file(camp_lists_pdf(desk, camp_id), "application/pdf", "camp-lists.pdf")


@router.get("/camps/{camp_id}/letters.zip")
def letters_file(desk: AtDesk, camp_id: UUID) -> Response:
    """All letters of a camp, one PDF a child."""
    return _file(_packed(named_letters(desk, camp_id)), "application/zip", "letters.zip")


def _packed(files: dict[str, bytes]) -> bytes:
    packed = io.BytesIO()
    with zipfile.ZipFile(packed, "w", zipfile.ZIP_STORED) as archive:  # PDF is compressed already
        for name, data in files.items():
            archive.writestr(zipfile.ZipInfo(unicodedata.normalize("NFC", name)), data)
    return packed.getvalue()


def _file(data: bytes, kind: str, name: str) -> Response:
    return Response(data, media_type=kind, headers={"Content-Disposition": f'attachment; filename="{name}"'})
