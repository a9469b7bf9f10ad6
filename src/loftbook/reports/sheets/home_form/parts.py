"""The look and the small program of the form, read from the package."""

from __future__ import annotations

from functools import cache
from importlib.resources import files


@cache
def part(name: str) -> str:
    """One of the form's own files as text, "form.css" or "form.js"."""
    return files("loftbook.reports.sheets.home_form").joinpath(name).read_text(encoding="utf-8")
