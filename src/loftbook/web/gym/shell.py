"""The page, its service worker and its few files. None holds a name or a result, so anybody may have them."""

from __future__ import annotations

from pathlib import Path

from fastapi import APIRouter
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import FileResponse, Response

from loftbook.web.faults import Fault, fault_answer

router = APIRouter(include_in_schema=False)

BUILT = Path(__file__).parent.parent / "static" / "gym"
_TYPES = {
    ".js": "text/javascript; charset=utf-8",
    ".css": "text/css; charset=utf-8",
    ".png": "image/png",
    ".txt": "text/plain; charset=utf-8",
    ".webmanifest": "application/manifest+json",
}
# The names of scripts and styles change with their content; the others are asked for again.
_LASTING = "public, max-age=31536000, immutable"
_ASK_AGAIN = "no-cache"
NOT_BUILT = Fault(
    503,
    "The gym’s page is not there",
    "The page for writing down in the gym was not built into this installation; the other pages work, and "
    "results can be written under “Write down”. What to do: in a checkout, run python3 dev.py demo once; it "
    "builds the page.",
)


@router.get("/gym")
def page(request: Request) -> Response:
    """Who is next, her rung, the result."""
    return _file(request, "index.html", "text/html; charset=utf-8")


@router.get("/gym/{name}")
def part(request: Request, name: str) -> Response:
    """A script, a style, an icon, the manifest, the service worker."""
    kind = _TYPES.get(Path(name).suffix)
    if kind is None:
        raise HTTPException(404)
    return _file(request, name, kind)


def _file(request: Request, name: str, kind: str) -> Response:
    if not (BUILT / "index.html").is_file():
        return fault_answer(request, NOT_BUILT)
    # Only what lies there: a name is looked up in the folder, never joined to a path.
    path = {one.name: one for one in BUILT.iterdir()}.get(name)
    if path is None:
        raise HTTPException(404)
    headers = {"Cache-Control": _LASTING if "-" in path.stem and kind.startswith("text/") else _ASK_AGAIN}
    if name == "sw.js":
        headers["Service-Worker-Allowed"] = "/gym"
    return FileResponse(path, media_type=kind, headers=headers)
