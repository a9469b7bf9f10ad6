"""Takes one child out of the book for good: every row that points at her, every text that names her.

Which rows are hers is read from the tables' own references, so that a table which is
added later is emptied of her too. Counts by camp and rung stay, without her.
"""

from __future__ import annotations

import hashlib
from collections import Counter
from collections.abc import Collection, Iterator, Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Any
from uuid import UUID

import sqlalchemy as sa

from loftbook.book.naming import Naming
from loftbook.insight.standing import State
from loftbook.store import schema
from loftbook.store.batches import batched, insert_all
from loftbook.store.clips import forget_films
from loftbook.store.privacy_tables import count_kept, erased
from loftbook.store.received import forget
from loftbook.store.schema import metadata
from loftbook.store.standings import replace_standings
from loftbook.store.types import Doc, Names, Uid, Words

#: References that are let go where the row itself is somebody else's or nobody's.
_LET_GO = frozenset({("attempt", "replaces"), ("bed_line", "clip")})
#: Text in which no child can be named: the programme's own, digests, and coaches who mark.
_NOT_SCANNED = frozenset({"ladder_text", "setting", "person", "erased", "camp", "book"})
_NOT_TEXT = frozenset({"digest", "token", "secret", "code", "edition", "rung", "rater", "raters", "verdict"})


@dataclass(frozen=True)
class Trace:
    """A place in the book where a text names her."""

    table: str
    column: str
    key: tuple[Any, ...]


def erase_athlete(connection: sa.Connection, athlete_id: UUID) -> Counter[str]:
    """Takes every row about one child out of the book, for good; returns how many went from which table.

    What names her in the rows of others is `redact`'s to take out, the files beside the
    book are the desk's.
    """
    _keep_counts(connection, athlete_id)
    a = schema.attempt.c
    for camp in tuple(connection.scalars(sa.select(a.camp).where(a.athlete == athlete_id).distinct())):
        replace_standings(connection, camp, [athlete_id], [])
    gone: Counter[str] = Counter(forget(connection, athlete_id))
    gone["set_aside"] += _forget_by_text(connection, athlete_id)
    gone.update(forget_films(connection, athlete_id))
    _delete(connection, schema.athlete, schema.athlete.c.id, [athlete_id], gone)
    return gone


def redact(connection: sa.Connection, naming: Naming) -> Counter[str]:
    """Takes her names and her id out of every text that others' rows hold; how many texts of which table changed."""
    changed: Counter[str] = Counter()
    for table, column, rows in _named(connection, naming):
        keys = tuple(table.primary_key.columns)
        for *key, value in rows:
            new = naming.without(value)
            if new != value:
                which = sa.and_(*(one == part for one, part in zip(keys, key, strict=True)))
                connection.execute(sa.update(table).where(which).values({column.name: new}))
                changed[table.name] += 1
    return changed


def traces(connection: sa.Connection, naming: Naming) -> tuple[Trace, ...]:
    """Where the book still names her; empty after `erase_athlete` and `redact`."""
    found = [
        Trace(table.name, column.name, tuple(key))
        for table, column, rows in _named(connection, naming)
        for *key, value in rows
        if naming.without(value) != value
    ]
    for table in metadata.sorted_tables:
        for column in table.columns:
            if isinstance(column.type, Uid) and column.table.name != "erased":
                hers = connection.execute(sa.select(column).where(column == naming.id).limit(1)).first()
                found += [Trace(table.name, column.name, ())] if hers else []
    return tuple(found)


def note_erased(
    connection: sa.Connection, athlete_id: UUID, *, at: datetime, by: str, told: Mapping[str, int]
) -> None:
    """Writes that somebody was erased; of her only the fingerprint of her id is kept."""
    row = {"digest": fingerprint(athlete_id), "at": at, "by": by, "told": dict(told)}
    connection.execute(sa.delete(erased).where(erased.c.digest == row["digest"]))
    insert_all(connection, erased, [row])


def fingerprint(athlete_id: UUID) -> str:
    """The SHA-256 of an id, in hex; an id drawn by chance cannot be found again from it."""
    return hashlib.sha256(athlete_id.bytes).hexdigest()


def erased_among(connection: sa.Connection, ids: Collection[UUID]) -> frozenset[UUID]:
    """Which of these ids belong to children who were erased."""
    by_digest = {fingerprint(one): one for one in ids}
    found: set[UUID] = set()
    for some in batched(tuple(by_digest)):
        rows = connection.scalars(sa.select(erased.c.digest).where(erased.c.digest.in_(some)))
        found |= {by_digest[digest] for digest in rows}
    return frozenset(found)


@dataclass(frozen=True)
class ErasedOnce:
    """A fact: a child was erased. Who she was is not kept."""

    digest: str
    at: datetime
    by: str
    told: Mapping[str, int]


def erasures(connection: sa.Connection) -> tuple[ErasedOnce, ...]:
    """Every erasure, the oldest first."""
    e = erased.c
    rows = connection.execute(sa.select(e.digest, e.at, e.by, e.told).order_by(e.seq))
    return tuple(ErasedOnce(*row) for row in rows)


def add_erasures(connection: sa.Connection, known: Collection[ErasedOnce]) -> None:
    """Takes over what another copy of the book knows of erasures."""
    have = {one.digest for one in erasures(connection)}
    insert_all(connection, erased, [dict(vars(one)) for one in known if one.digest not in have])


def counts_kept(connection: sa.Connection) -> dict[tuple[UUID, str, State], int]:
    """How many children who were erased stood where: by camp, rung and state."""
    c = count_kept.c
    rows = connection.execute(sa.select(c.camp, c.rung, c.state, c.children))
    return {(camp, rung, state): children for camp, rung, state, children in rows}


def _keep_counts(connection: sa.Connection, athlete_id: UUID) -> None:
    s, c = schema.standing.c, count_kept.c
    blank = (State.NO_RECORD, State.ABSENT)
    hers = connection.execute(
        sa.select(s.camp, s.rung, s.state).where(s.athlete == athlete_id, s.state.not_in(blank))
    ).all()
    have = counts_kept(connection)
    for camp, rung, state in hers:
        if (camp, rung, state) in have:
            same = sa.and_(c.camp == camp, c.rung == rung, c.state == state)
            connection.execute(sa.update(count_kept).where(same).values(children=c.children + 1))
        else:
            row = {"camp": camp, "rung": rung, "state": state, "children": 1}
            connection.execute(sa.insert(count_kept).values(row))


def _forget_by_text(connection: sa.Connection, athlete_id: UUID) -> int:
    """Records that were set aside and name her id somewhere, though nobody could read whose they are."""
    s = schema.set_aside.c
    text = sa.func.lower(sa.cast(sa.type_coerce(s.record, Doc()), sa.Text))
    which = sa.or_(text.contains(str(athlete_id)), text.contains(athlete_id.hex))
    return connection.execute(sa.delete(schema.set_aside).where(which)).rowcount


def _delete(
    connection: sa.Connection,
    table: sa.Table,
    column: sa.Column[Any],
    ids: Collection[Any],
    gone: Counter[str],
) -> None:
    """Deletes the rows whose column is one of these, after everything that points at them."""
    pointing = tuple(pointing_at(table))
    for some in batched(ids):
        which = column.in_(some)
        for child, reference, target in pointing:
            keys = tuple(connection.scalars(sa.select(target).where(which)))
            if (child.name, reference.name) in _LET_GO:
                for part in batched(keys):
                    loose = sa.update(child).where(reference.in_(part)).values({reference.name: None})
                    connection.execute(loose)
            elif keys:
                _delete(connection, child, reference, keys, gone)
        gone[table.name] += connection.execute(sa.delete(table).where(which)).rowcount


def pointing_at(table: sa.Table) -> Iterator[tuple[sa.Table, sa.Column[Any], sa.Column[Any]]]:
    """Each table with the column that refers to this one, and the column that it refers to."""
    for child in metadata.sorted_tables:
        for key in child.foreign_keys:
            if key.column.table is table:
                yield child, key.parent, key.column


def texts_scanned() -> Iterator[tuple[sa.Table, sa.Column[Any]]]:
    """Every column of text in which somebody may have named a child."""
    for table in metadata.sorted_tables:
        for column in table.columns:
            free = isinstance(column.type, (Words, Doc, Names)) and not column.primary_key
            if free and table.name not in _NOT_SCANNED and column.name not in _NOT_TEXT:
                yield table, column


def _named(connection: sa.Connection, naming: Naming) -> Iterator[tuple[sa.Table, sa.Column[Any], list[Any]]]:
    """The rows whose text may name her: the database narrows it down, `Naming` decides."""
    for table, column in texts_scanned():
        text = sa.cast(column, sa.Text) if isinstance(column.type, (Doc, Names)) else column
        likely = sa.or_(*(_like(text, pattern) for pattern in naming.patterns))
        rows = connection.execute(sa.select(*table.primary_key.columns, column).where(likely)).all()
        if rows:
            yield table, column, list(rows)


def _like(text: sa.ColumnElement[Any], pattern: str) -> sa.ColumnElement[bool]:
    return sa.func.lower(sa.type_coerce(text, sa.Text)).like(pattern)
