"""The pages, one folder each: `view.py` asks the desk, `template.html` sets the answer."""

from __future__ import annotations

from importlib import import_module
from typing import cast

from fastapi import APIRouter

# In the order in which addresses are tried: fixed ones before those with an id in them.
PAGES = (
    *(
        "squad",
        "counts",
        "camps",
        "camp",
        "describe",
        "expect",
        "agreement",
        "again",
        "plan",
        "type_in",
        "clashes",
        "entry",
    ),
    *("athlete", "letter", "papers", "evidence", "privacy", "answers", "press", "bring_in"),
    *("take_in", "lists", "devices", "hello", "pair", "unlock", "cautions", "look"),
    *("next_steps", "teaching_card", "studio"),
    *("films", "film_turn", "film_beside", "film"),
)


def page_routers() -> tuple[APIRouter, ...]:
    """The router of every page; a page is a folder named in PAGES."""
    views = (import_module(f"{__name__}.{name}.view") for name in PAGES)
    return tuple(cast(APIRouter, view.router) for view in views)
