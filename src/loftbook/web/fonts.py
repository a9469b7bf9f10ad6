"""The two faces of the book, served from the packages that carry their files."""

from __future__ import annotations

from importlib.util import find_spec
from pathlib import Path

from fastapi import APIRouter
from starlette.exceptions import HTTPException
from starlette.responses import FileResponse

router = APIRouter(include_in_schema=False)

# The packages fontpkg-source-serif-4 and fontpkg-source-sans-3 hold variable fonts in `files/`.
_FILES = {
    "source-serif-4.ttf": ("fontpkg_source_serif_4", "SourceSerif4[opsz,wght].ttf"),
    "source-serif-4-italic.ttf": ("fontpkg_source_serif_4", "SourceSerif4-Italic[opsz,wght].ttf"),
    "source-sans-3.ttf": ("fontpkg_source_sans_3", "SourceSans3[wght].ttf"),
    "source-sans-3-italic.ttf": ("fontpkg_source_sans_3", "SourceSans3-Italic[wght].ttf"),
}
_A_YEAR = "public, max-age=31536000, immutable"


@router.get("/fonts/{name}")
def font(name: str) -> FileResponse:
    """One font file; a browser asks once and keeps it."""
    path = font_file(name)
    if path is None:
        raise HTTPException(404)
    return FileResponse(path, media_type="font/ttf", headers={"Cache-Control": _A_YEAR})


def font_file(name: str) -> Path | None:
    """Where the file of a face lies, or nothing where there is none of that name.

    >>> font_file("source-sans-3.ttf").suffix, font_file("comic.ttf")
    ('.ttf', None)
    """
    if name not in _FILES:
        return None
    package, file = _FILES[name]
    spec = find_spec(package)
    if spec is None or not spec.submodule_search_locations:
        return None
    path = Path(spec.submodule_search_locations[0]) / "files" / file
    return path if path.is_file() else None
