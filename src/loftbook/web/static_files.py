"""Our own few files: the style, the icon, a little script."""

from __future__ import annotations

from pathlib import Path

from fastapi import APIRouter
from starlette.exceptions import HTTPException
from starlette.responses import FileResponse

router = APIRouter(include_in_schema=False)

_FOLDER = Path(__file__).parent / "static"
_TYPES = {
    "book.css": "text/css; charset=utf-8",
    "book.js": "text/javascript; charset=utf-8",
    "pair.js": "text/javascript; charset=utf-8",
    "grid.js": "text/javascript; charset=utf-8",
    "icon.svg": "image/svg+xml",
}
_A_YEAR = "public, max-age=31536000, immutable"  # the address changes with the file


@router.get("/static/{name}")
def static_file(name: str) -> FileResponse:
    """One of our own files, kept by the browser until its address changes."""
    if name not in _TYPES:
        raise HTTPException(404)
    return FileResponse(_FOLDER / name, media_type=_TYPES[name], headers={"Cache-Control": _A_YEAR})
