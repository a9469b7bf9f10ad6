"""One call: what another book would bring, or, where that is asked, that it is brought."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from uuid import UUID

from loftbook.book.typed.decisions import Answers
from loftbook.book.typed.matching import Register
from loftbook.desk import Desk
from loftbook.desk.merging.camps import CampsMet, meet_all_camps, meet_expected, write_camps, write_expected
from loftbook.desk.merging.films import bring_files, meet_films, write_films
from loftbook.desk.merging.people import (
    ChildrenMet,
    LaddersMet,
    meet_children,
    meet_coaches,
    meet_ladders,
    write_children,
    write_coaches,
    write_ladders,
)
from loftbook.desk.merging.sides import BOOK, Sides, other_book
from loftbook.desk.merging.told import Merged, Part
from loftbook.desk.merging.turns import meet_all_turns, write_turns
from loftbook.desk.merging.words import meet_answers, meet_consents, meet_decisions, write_words
from loftbook.store import clips, people, received, same_as
from loftbook.store.database import Connection, Store
from loftbook.store.server import look_over

Writing = Callable[[Connection], None]


def merge_book(
    desk: Desk, file: Path, *, answers: Answers | None = None, write: bool = False, films: bool = False
) -> Merged:
    """What a laptop's book would add to this one; with `write` it is added, all or nothing.

    The other book is read from a copy. Who is a child of this book is decided by the careful matching
    of typed lists; an open question holds back what depends on it and nothing else. Merging
    again changes nothing. With `films` the files of its films are copied too. Raises
    BookFileError for a book that cannot be read, or comes from a newer Loftbook.
    """
    said = answers or {}
    with other_book(desk, file) as other:
        with desk.store.read() as here, other.read() as there:
            found, _ = _look(_sides(desk, here, there, said, file.name))
        if not write:
            return found
        if found.has_news or _has_links(found):
            found = _write(desk, other, said, file.name)
        if films:
            with desk.store.read() as here, other.read() as there:
                brought = bring_files(
                    _sides(desk, here, there, said, file.name), file.expanduser().absolute()
                )
            found = replace(found, notes=(*found.notes, f"The files of {brought} films were copied."))
        return replace(found, written=True)


def _write(desk: Desk, other: Store, answers: Answers, name: str) -> Merged:
    with desk.store.write() as here, other.read() as there:
        sides = _sides(desk, here, there, answers, name)
        found, writings = _look(sides)
        for writing in writings:
            writing(here)
        rows = [{"at": sides.now} | dict(row) for part in found.parts for row in part.aside]
        received.put_aside(here, rows)
        look_over(here)
    return found


def _sides(desk: Desk, here: Connection, there: Connection, answers: Answers, name: str) -> Sides:
    plain = "".join(c for c in name if c.isprintable())[:100]
    return Sides(desk, here, there, answers, f"{BOOK}{plain}", desk.clock())


def _has_links(found: Merged) -> bool:
    """Numbers to be kept although nothing else is new."""
    return any(getattr(part.rows, "links", None) for part in found.parts)


def _look(sides: Sides) -> tuple[Merged, tuple[Writing, ...]]:
    """What comes of the other book, and how it is written, part after part."""
    ladders = meet_ladders(sides)
    coaches = meet_coaches(sides)
    register = Register(people.athletes(sides.here))
    children = meet_children(sides, register)
    held_camps = meet_all_camps(sides, ladders.barred, ladders.asked)
    sides = _numbered(sides, register, children, held_camps)
    expected = meet_expected(sides)
    turns = meet_all_turns(sides)
    consents, decided, answered = meet_consents(sides), meet_decisions(sides), meet_answers(sides)
    settled = clips.consents_of(sides.here, tuple(set(sides.athletes.values())))
    coming = frozenset(one.id for one in (*settled, *consents.rows))
    films = meet_films(sides, turns.turns.numbers, coming)
    parts = (
        ladders.part,
        coaches,
        children.part,
        held_camps.part,
        expected,
        turns.part,
        consents,
        decided,
        answered,
        films,
    )
    writings: tuple[Writing, ...] = (
        lambda connection: write_ladders(connection, sides, ladders.part),
        lambda connection: write_coaches(connection, coaches),
        lambda connection: write_children(connection, sides, children),
        lambda connection: write_camps(connection, sides, held_camps),
        lambda connection: write_expected(connection, sides.now, expected),
        lambda connection: write_turns(connection, turns),
        lambda connection: write_words(connection, consents, decided, answered),
        lambda connection: write_films(connection, films),
    )
    return _told(sides, parts, ladders, children, held_camps), writings


def _numbered(sides: Sides, register: Register, children: ChildrenMet, met: CampsMet) -> Sides:
    names = {who: person.name.full for who, person in register.people.items()}
    names |= {one.id: one.name.full for one in children.part.rows.new}
    return replace(
        sides,
        athletes=children.numbers,
        camps=met.numbers,
        held=frozenset(one.there for one in children.met if one.question is not None),
        new_camps=frozenset(one.here for one in met.met if one.new and one.here),
        names=names,
    )


def _told(
    sides: Sides, parts: tuple[Part, ...], ladders: LaddersMet, children: ChildrenMet, met: CampsMet
) -> Merged:
    known = received.aside_known(sides.here, [row["digest"] for part in parts for row in part.aside])
    fresh = tuple(
        replace(part, aside=tuple(row for row in part.aside if row["digest"] not in known)) for part in parts
    )
    questions = [*ladders.questions]
    questions += [one.question for one in (*children.met, *met.met) if one.question is not None]
    notes = [note for part in parts for note in part.notes]
    notes += [
        f"“{sides.answers[one.id]}” is no answer to {one.id}." for one in questions if one.id in sides.answers
    ]
    notes += _erased_there(sides)
    return Merged(sides.way.removeprefix(BOOK), fresh, tuple(questions), tuple(notes), written=False)


def _erased_there(sides: Sides) -> list[str]:
    """Children whom the other book erased and this one still has: said, for a person to decide."""
    numbers: dict[UUID, set[UUID]] = {one: {one} for one in sides.names}
    for other, here in same_as.other_numbers(sides.here).items():
        numbers.setdefault(here, {here}).add(other)
    gone = same_as.erased_of(sides.there, numbers)
    return [
        f"{sides.names.get(one, 'A child')} was erased from the other book and is still in this one. Ask whether she "
        "is to be erased here too."
        for one in sorted(gone, key=str)
    ]
