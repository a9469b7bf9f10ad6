"""Parts of pages that live in the browser: their scripts and styles, built from frontend/ beside the gym’s page.

None holds a name or a result, so anybody may have them. A page without its part still says what it has to say.
"""

from __future__ import annotations

import json
from dataclasses import dataclass
from pathlib import Path

from fastapi import APIRouter
from starlette.exceptions import HTTPException
from starlette.responses import FileResponse

router = APIRouter(include_in_schema=False)

BUILT = Path(__file__).parent / "static" / "gym" / "islands"
_TYPES = {
    ".js": "text/javascript; charset=utf-8",
    ".css": "text/css; charset=utf-8",
    ".txt": "text/plain; charset=utf-8",
}
_A_YEAR = "public, max-age=31536000, immutable"  # the names change with the files


@dataclass(frozen=True)
class Island:
    """Where a page finds the script and the style of its part in the browser."""

    script: str
    style: str


def island(name: str) -> Island | None:
    """The part of that name; None where it was not built into this installation."""
    try:
        built = json.loads((BUILT / "islands.json").read_text(encoding="utf-8")).get(name)
    except OSError:
        return None
    return None if built is None else Island(f"/islands/{built['script']}", f"/islands/{built['style']}")


@router.get("/islands/{name}")
def part(name: str) -> FileResponse:
    """A script or a style."""
    kind = _TYPES.get(Path(name).suffix)
    # Only what lies there: a name is looked up in the folder, never joined to a path.
    path = {one.name: one for one in BUILT.iterdir()}.get(name) if kind and BUILT.is_dir() else None
    if path is None:
        raise HTTPException(404)
    return FileResponse(path, media_type=kind, headers={"Cache-Control": _A_YEAR})
