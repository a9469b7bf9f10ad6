"""Find a turn or a film by what a coach would type."""

from __future__ import annotations

from uuid import UUID

from loftbook.book.attempts import Attempt
from loftbook.desk import Desk
from loftbook.desk.film.answers import FilmLine, films_answer
from loftbook.desk.people import find_athlete, find_camp
from loftbook.errors import AmbiguousThing, UnknownThing
from loftbook.store import attempts


def find_turn(desk: Desk, name: str, rung: str = "", camp: str | None = None) -> Attempt:
    """Her last turn at a camp (the latest one), on a rung where one is named; her attempt’s id does as well.

    Raises UnknownThing where there is none, AmbiguousThing where she showed several rungs and none was named.
    """
    if (given := _as_id(name)) is not None:
        with desk.store.read() as connection:
            known = attempts.attempts_by_id(connection, [given])
        if given in known:
            return known[given]
    who, where = find_athlete(desk, name), find_camp(desk, camp)
    with desk.store.read() as connection:
        hers = attempts.attempts_of_camp(connection, where.id, [who.id])
    seen = [turn for turn in hers if not turn.outcome.is_blank and rung in ("", turn.rung)]
    rungs = sorted({turn.rung for turn in seen})
    if not seen:
        asked = f" on {rung}" if rung else ""
        raise UnknownThing(
            f"no turn of {who.name.full}{asked} at {where.name} {where.starts}",
            "one that was written down",
            "write the result first, or name another camp with --camp",
        )
    if len(rungs) > 1:
        raise AmbiguousThing(f"turns on {', '.join(rungs)}", "one rung", "name it with --rung")
    return seen[-1]


def find_film(desk: Desk, text: str) -> FilmLine:
    """The film whose id begins so, or whose file has that name."""
    lines = films_answer(desk).lines
    found = [one for one in lines if text and str(one.film.id).startswith(text.lower())]
    found = found or [one for one in lines if one.film.name == text]
    if len(found) == 1:
        return found[0]
    if found:
        ids = ", ".join(str(one.film.id) for one in found)
        raise AmbiguousThing(f"{len(found)} films for {text!r}: {ids}", "one", "give the whole id")
    raise UnknownThing(
        f"no film {text!r} in this book",
        "an id of `loftbook film list`",
        "look there; it may have been deleted",
    )


def _as_id(text: str) -> UUID | None:
    try:
        return UUID(text)
    except ValueError:
        return None
