"""What people said and decided about children, out of another book: consents, decisions, answers to letters."""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterable
from dataclasses import replace
from typing import Any, TypeVar
from uuid import UUID

from loftbook.book.answering import HomeAnswer
from loftbook.book.consent import Consent
from loftbook.book.deciding import Decision
from loftbook.desk.merging.sides import Sides
from loftbook.desk.merging.told import Part, conflict_row
from loftbook.store import clips, decisions, home_answers
from loftbook.store.database import Connection

_F = TypeVar("_F", Consent, Decision, HomeAnswer)


def meet_consents(sides: Sides) -> Part:
    """What was said about filming; of two words both are kept, and the book's rule says which stands."""
    theirs = clips.consents_of(sides.there, tuple(sides.athletes))
    return _part(sides, "consents", theirs, clips.consents_of, lambda c: "yes" if c.allowed else "no")


def meet_decisions(sides: Sides) -> Part:
    """What qualified people decided."""
    theirs = decisions.decisions_of(sides.there, tuple(sides.athletes))
    return _part(sides, "decisions", theirs, decisions.decisions_of, lambda d: f"{d.by}: {d.decided.words}")


def meet_answers(sides: Sides) -> Part:
    """What home coaches answered; of camps that do not come nothing comes."""
    every = home_answers.answers_of(sides.there, tuple(sides.athletes))
    theirs = [replace(one, camp=sides.camps[one.camp]) for one in every if one.camp in sides.camps]
    have = home_answers.answers_of(sides.here, _settled(sides))
    digests = {one.digest for one in have} - {
        mine.digest for mine in have if mine.id in {t.id for t in theirs}
    }
    told = [one for one in theirs if one.digest not in digests]
    part = _part(
        sides, "answers of home coaches", told, home_answers.answers_of, lambda a: f"{a.by}: {a.more}"
    )
    return replace(part, duplicate=part.duplicate + len(theirs) - len(told), waiting=len(every) - len(theirs))


def write_words(connection: Connection, consents: Part, decided: Part, answered: Part) -> None:
    """Writes the new ones of all three."""
    clips.add_consents(connection, consents.rows)
    decisions.add_decisions(connection, decided.rows)
    home_answers.add_answers(connection, answered.rows)


def _part(
    sides: Sides,
    what: str,
    theirs: Iterable[_F],
    of: Callable[[Connection, Collection[UUID]], tuple[_F, ...]],
    words: Callable[[Any], str],
) -> Part:
    have = {one.id: one for one in of(sides.here, _settled(sides))}
    new: list[_F] = []
    aside: list[dict[str, Any]] = []
    same = 0
    for there in theirs:
        one = replace(there, athlete=sides.athletes[there.athlete])
        mine = have.get(one.id)
        if mine is None:
            new.append(one)
        elif mine == one:
            same += 1
        else:
            name = sides.names.get(one.athlete, "a child")
            aside.append(
                conflict_row(what, words(mine), words(one), name=name, way=sides.way, athlete=one.athlete)
            )
    return Part(
        what, stored=len(new), duplicate=same, conflict=len(aside), aside=tuple(aside), rows=tuple(new)
    )


def _settled(sides: Sides) -> tuple[UUID, ...]:
    return tuple(set(sides.athletes.values()))
