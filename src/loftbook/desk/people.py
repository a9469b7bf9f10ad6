"""Find a child or a camp by what a coach would type."""

from __future__ import annotations

from datetime import date
from uuid import UUID

from rapidfuzz import fuzz, process

from loftbook.book.people import Athlete, Camp
from loftbook.book.typed.words import fold
from loftbook.desk import Desk
from loftbook.errors import AmbiguousThing, UnknownThing
from loftbook.store import camps, people


def all_athletes(desk: Desk) -> tuple[Athlete, ...]:
    """Everyone in the book, in running order."""
    with desk.store.read() as connection:
        return people.athletes(connection)


def athlete(desk: Desk, athlete_id: UUID) -> Athlete:
    """The child of that id."""
    with desk.store.read() as connection:
        return people.athlete(connection, athlete_id)


def find_athlete(desk: Desk, text: str) -> Athlete:
    """The one child that a coach means by a name, either order, or by her id.

    Raises UnknownThing with the nearest names, AmbiguousThing with all that fit.
    """
    everyone = all_athletes(desk)
    wanted = fold(text)
    typed = text.strip().casefold()
    exact = [a for a in everyone if wanted in _spoken(a) or typed in (str(a.id), a.name.full.casefold())]
    found = exact or [a for a in everyone if wanted and all(w in fold(a.name.full) for w in wanted.split())]
    if len(found) == 1:
        return found[0]
    if found:
        names = "; ".join(f"{a.name.full}, {a.club.club if a.club else 'no club'}, {a.id}" for a in found)
        raise AmbiguousThing(
            f"{len(found)} people for {text!r}: {names}", "one", "give the full name or the id"
        )
    near = [
        name
        for name, *_ in process.extract(text, [a.name.full for a in everyone], limit=3, scorer=fuzz.WRatio)
    ]
    hint = f"did you mean {', '.join(near)}?" if near else "import a roster first"
    raise UnknownThing(f"nobody called {text!r} in this book", "a name in the squad list", hint)


def all_camps(desk: Desk) -> tuple[Camp, ...]:
    """All camps, newest first."""
    with desk.store.read() as connection:
        return tuple(reversed(camps.camps(connection)))


def find_camp(desk: Desk, text: str | None = None) -> Camp:
    """The camp that a coach means by its name, a day of it, or its id; the latest for None."""
    every = all_camps(desk)
    if not every:
        raise UnknownThing(
            "no camp in this book",
            "one",
            "make it with `loftbook camp new`, or read its list with `loftbook camp import FILE`",
        )
    if text is None:
        return every[0]
    wanted = fold(text)
    found = [c for c in every if text == str(c.id) or wanted == fold(f"{c.name} {c.starts}")]
    found = found or [
        c for c in every if (wanted and wanted in fold(f"{c.name} {c.starts} {c.place}")) or _inside(c, text)
    ]
    if len(found) == 1:
        return found[0]
    names = "; ".join(f"{c.name} {c.starts}" for c in found or every)
    if found:
        raise AmbiguousThing(f"{len(found)} camps for {text!r}: {names}", "one", "give its first day")
    raise UnknownThing(f"no camp {text!r}", f"one of {names}", "give its name or its first day")


def _inside(camp: Camp, text: str) -> bool:
    try:
        return camp.contains(date.fromisoformat(text.strip()))
    except ValueError:
        return False


def _spoken(athlete: Athlete) -> set[str]:
    names = athlete.names
    both = (f"{n.given} {n.family}" for n in names), (f"{n.family} {n.given}" for n in names)
    return {fold(name) for order in both for name in order} - {""}  # a name may be without a letter
