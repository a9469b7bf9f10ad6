"""Templates, and what every page may use: words for values, marks for states, the look chosen."""

from __future__ import annotations

from functools import lru_cache
from hashlib import sha256
from pathlib import Path
from typing import Annotated
from unicodedata import bidirectional

from fastapi import Depends
from jinja2 import Environment, FileSystemLoader, StrictUndefined
from markupsafe import Markup, escape
from starlette.requests import Request
from starlette.responses import HTMLResponse

from loftbook.book.people import Athlete
from loftbook.desk import Desk
from loftbook.insight.inventory import Mark
from loftbook.insight.standing import State
from loftbook.reports.charts.drawing import Drawing
from loftbook.reports.charts.marks import state_mark
from loftbook.web import words
from loftbook.web.islands import island

NARROW, WIDE = 330.0, 620.0  # a drawing is set once for a phone, once for a page, and then fills its column
HERE = Path(__file__).parent
LOOKS = ("device", "light", "dark")
CHAPTERS = (
    ("/", "Squad"),
    ("/camps", "Camps"),
    ("/entry", "Write down"),
    ("/import", "Bring in"),
    ("/film", "Films"),
    ("/lab", "Lab"),
    ("/lists", "Lists"),
    ("/cautions", "Cautions"),
)


def desk_of(request: Request) -> Desk:
    """The desk for whoever asks: an account's own, or the one that the app was made with."""
    known = getattr(request.state, "known", None)  # as the gate found; none before it
    hers: Desk | None = getattr(known, "desk", None)
    return keeper_of(request) if hers is None else hers


def keeper_of(request: Request) -> Desk:
    """The desk that the app was made with: for what is asked before anybody is known."""
    desk: Desk = request.app.state.desk
    return desk


async def _desk(request: Request) -> Desk:
    return desk_of(request)  # a plain function would be called in a thread of its own


AtDesk = Annotated[Desk, Depends(_desk)]


def render(request: Request, template: str, *, status: int = 200, **values: object) -> HTMLResponse:
    """A page from a template under `web/`, with the values it shows."""
    text = (
        _environment()
        .get_template(template)
        .render(
            path=request.url.path,
            chapter=chapter_of(request.url.path),
            look=look_of(request),
            chapters=getattr(request.state, "chapters", ()),  # as the gate found; none before it
            **values,
        )
    )
    return HTMLResponse(text, status, headers={"Vary": "Accept, Cookie"})


def look_of(request: Request) -> str:
    """Light, dark, or as the device says: what the reader chose on this device."""
    look = request.cookies.get("look", "device")
    return look if look in LOOKS else "device"


def chapter_of(path: str) -> str:
    """Which part of the contents a page belongs to.

    >>> chapter_of("/camps/1/entry/2"), chapter_of("/athletes/2"), chapter_of("/camps/new")
    ('/entry', '/', '/camps')
    """
    parts = path.split("/")
    if "entry" in parts:
        return "/entry"
    return f"/{parts[1]}" if f"/{parts[1]}" in dict(CHAPTERS) else "/"


@lru_cache  # a page of a camp shows some seven hundred
def mark(state: State, size: int = 18) -> Markup:
    """The form of a state, for beside its word: a reader of the page hears the word only."""
    return Markup(f'<span class="mark" aria-hidden="true">{state_mark(state, size=size).svg}</span>')  # noqa: S704


def person(athlete: Athlete) -> Markup:
    """Her present name as text; one from right to left keeps its direction to itself."""
    return _named(athlete.name.full)


@lru_cache(maxsize=8192)
def _named(name: str) -> Markup:
    turned = any(bidirectional(letter) in ("R", "AL") for letter in name)
    return Markup("<bdi>{}</bdi>").format(name) if turned else escape(name)


def picture(drawing: Drawing) -> Markup:
    """A drawing of `reports.charts`, which has escaped every word in it."""
    return Markup(drawing.svg)  # noqa: S704


@lru_cache(maxsize=1)
def _environment() -> Environment:
    environment = Environment(
        loader=FileSystemLoader(HERE),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )
    environment.filters.update(words.FILTERS, person=person)
    environment.globals.update(
        mark=mark,
        picture=picture,
        State=State,
        pattern_state={
            Mark.ALONE.name: State.ALONE,
            Mark.NOT_ALONE.name: State.TRIED,
            Mark.NOT_SHOWN.name: State.NOT_TRIED,
        },
        meanings=words.MEANINGS,
        static=_static_path,
        island=island,
    )
    return environment


@lru_cache
def _static_path(name: str) -> str:
    """The address of one of our own files, which changes when the file does."""
    digest = sha256((HERE / "static" / name).read_bytes()).hexdigest()[:12]
    return f"/static/{name}?v={digest}"
