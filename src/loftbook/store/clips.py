"""Films of attempts: consent, clips, tracks, and what people said about each. Findings are in `store.readings`."""

from __future__ import annotations

from collections.abc import Collection, Iterable
from dataclasses import fields
from typing import Any
from uuid import UUID

import sqlalchemy as sa

from loftbook.book.consent import Consent
from loftbook.book.films import (
    BedLine,
    FilmedTurn,
    FilmFacts,
    FilmGone,
    PointSet,
    Said,
    TrackMade,
)
from loftbook.errors import UnknownThing
from loftbook.store import clip_tables as tables
from loftbook.store import schema
from loftbook.store.batches import batched, insert_all


def add_consents(connection: sa.Connection, said: Iterable[Consent]) -> None:
    """Writes down what was said; nothing is ever overwritten."""
    insert_all(connection, tables.consent, [dict(vars(one)) for one in said])


def consents_of(connection: sa.Connection, athletes: Collection[UUID]) -> tuple[Consent, ...]:
    """Everything that was recorded about filming these gymnasts, oldest first."""
    return tuple(_by(connection, tables.consent, Consent, "athlete", athletes))


def add_clip(connection: sa.Connection, new: FilmedTurn) -> None:
    """Puts a film with an attempt."""
    insert_all(connection, tables.clip, [dict(vars(new))])


def clip(connection: sa.Connection, clip_id: UUID) -> FilmedTurn:
    """The film of that id; raises `UnknownThing`, also for one that was deleted."""
    found: FilmedTurn | None = next(iter(_by(connection, tables.clip, FilmedTurn, "id", [clip_id])), None)
    if found is None:
        raise UnknownThing(
            f"no film with the id {clip_id}",
            "one that is kept",
            "it may have been deleted; see the list of films",
        )
    return found


def clips(connection: sa.Connection, attempts: Collection[UUID] | None = None) -> tuple[FilmedTurn, ...]:
    """The films of these attempts (all, if None), in the order in which they came."""
    return tuple(_by(connection, tables.clip, FilmedTurn, "attempt", attempts))


def clips_of_athletes(connection: sa.Connection, athletes: Collection[UUID]) -> tuple[FilmedTurn, ...]:
    """The films that were put with a turn of these gymnasts, also one that was corrected since, in that order."""
    columns = [tables.clip.c[field.name] for field in fields(FilmedTurn)]
    a, found = schema.attempt.c, list[Any]()
    for some in batched(tuple(athletes)):
        query = sa.select(tables.clip.c.seq, *columns).join(schema.attempt, a.id == tables.clip.c.attempt)
        found += connection.execute(query.where(a.athlete.in_(some))).all()
    return tuple(FilmedTurn(*row[1:]) for row in sorted(found, key=lambda row: row.seq))


def gone(connection: sa.Connection, attempts: Collection[UUID]) -> tuple[FilmGone, ...]:
    """The films of these attempts that were deleted."""
    return tuple(_by(connection, tables.clip_gone, FilmGone, "attempt", attempts))


def facts(connection: sa.Connection, clip_id: UUID) -> FilmFacts:
    """A film with all that its findings are made from.

    The bed line is the last one drawn for its camera place at its camp; where the place
    has no name, only one that was drawn on this very film counts.
    """
    film = clip(connection, clip_id)
    tracks = list(_by(connection, tables.track, TrackMade, "clip", [clip_id]))
    points = tuple(_by(connection, tables.clip_point, PointSet, "clip", [clip_id]))
    said = {one.what: one.value for one in _by(connection, tables.clip_said, Said, "clip", [clip_id])}
    return FilmFacts(
        clip=film,
        track=tracks[-1] if tracks else None,
        points=points,
        bed=_bed_line(connection, film),
        said=said,
    )


def add_track(connection: sa.Connection, new: TrackMade) -> tuple[str, ...]:
    """Keeps a track; a model's track takes the place of an earlier one. Returns the files that are free now.

    What was measured from the earlier track goes with it.
    """
    t = tables.track.c
    old = sa.and_(t.clip == new.clip, t.by_hand == sa.literal(value=False, type_=t.by_hand.type))
    files: tuple[str, ...] = ()
    if not new.by_hand:
        files = tuple(connection.scalars(sa.select(t.file).where(old)))
        m = tables.film_measured
        connection.execute(sa.delete(m).where(m.c.track.in_(sa.select(t.id).where(old))))
        connection.execute(sa.delete(tables.track).where(old))
    insert_all(connection, tables.track, [dict(vars(new))])
    return tuple(file for file in files if file != new.file)


def add_points(connection: sa.Connection, new: Iterable[PointSet]) -> None:
    """Writes down where somebody put joints."""
    insert_all(connection, tables.clip_point, [dict(vars(one)) for one in new])


def say(connection: sa.Connection, said: Said) -> None:
    """Writes down what somebody said about a clip."""
    insert_all(connection, tables.clip_said, [dict(vars(said))])


def draw_bed_line(connection: sa.Connection, line: BedLine) -> None:
    """Writes down where the bed lies for one camera place."""
    row = dict(vars(line))
    row |= dict(zip(_ENDS, row.pop("ends"), strict=True))
    insert_all(connection, tables.bed_line, [row])


def correction_of(connection: sa.Connection, attempts: Collection[UUID]) -> dict[UUID, UUID | None]:
    """For each attempt the one that stands for it now: itself, its last correction, or None if withdrawn."""
    now: dict[UUID, UUID | None] = {one: one for one in attempts}
    a, w = schema.attempt.c, schema.withdrawal.c
    todo = set(attempts)
    while todo:
        later: dict[UUID, UUID] = {}
        for some in batched(tuple(todo)):
            rows = connection.execute(sa.select(a.replaces, a.id).where(a.replaces.in_(some)).order_by(a.seq))
            later |= {row.replaces: row.id for row in rows}
        now = {first: later.get(last, last) if last else None for first, last in now.items()}
        todo = set(later.values()) - todo
    standing = {last for last in now.values() if last}
    withdrawn: set[UUID] = set()
    for some in batched(tuple(standing)):
        withdrawn |= set(connection.scalars(sa.select(w.attempt).where(w.attempt.in_(some))))
    return {first: None if last in withdrawn else last for first, last in now.items()}


def versions_of(connection: sa.Connection, attempts: Collection[UUID]) -> frozenset[UUID]:
    """These attempts and all that they correct, back to the first."""
    found, a = set(attempts), schema.attempt.c
    todo = set(found)
    while todo:
        earlier: set[UUID] = set()
        for some in batched(tuple(todo)):
            rows = connection.scalars(sa.select(a.replaces).where(a.id.in_(some), a.replaces.is_not(None)))
            earlier |= set(rows)
        todo = earlier - found
        found |= todo
    return frozenset(found)


def forget_clip(connection: sa.Connection, end: FilmGone) -> None:
    """Takes everything about a film out of the book but the line that it was deleted.

    Its files are the desk's to delete. A bed line that was drawn on it stays for its camera place.
    """
    _forget(connection, [end.clip])
    insert_all(connection, tables.clip_gone, [dict(vars(end))])


def films_of(connection: sa.Connection, athlete: UUID) -> tuple[UUID, ...]:
    """The films of one child, also those put with her turn by mistake or that became hers by a correction."""
    hers = sa.select(schema.attempt.c.id).where(schema.attempt.c.athlete == athlete)
    own = set(connection.scalars(hers))
    every = clips(connection)
    now = correction_of(connection, {film.attempt for film in every})
    return tuple(film.id for film in every if own & {film.attempt, now[film.attempt]})


def forget_films(connection: sa.Connection, athlete: UUID) -> dict[str, int]:
    """Takes all films and words about filming of one child out of the book; how many rows went from which table."""
    films = films_of(connection, athlete)
    _forget(connection, films)
    g = tables.clip_gone
    hers = sa.select(schema.attempt.c.id).where(schema.attempt.c.athlete == athlete)
    lines = connection.execute(sa.delete(g).where(g.c.attempt.in_(hers))).rowcount
    said = connection.execute(sa.delete(tables.consent).where(tables.consent.c.athlete == athlete)).rowcount
    return {"clip": len(films), "clip_gone": lines, "consent": said}


_ENDS = ("x1", "y1", "x2", "y2")
_OF_A_CLIP = (
    tables.film_measured,
    tables.reading,
    tables.job,
    tables.clip_said,
    tables.clip_point,
    tables.track,
)


def _forget(connection: sa.Connection, films: Collection[UUID]) -> None:
    for some in batched(films):
        for table in _OF_A_CLIP:
            connection.execute(sa.delete(table).where(table.c.clip.in_(some)))
        line = tables.bed_line
        # Without a camera place it counted for this film alone.
        alone = sa.and_(line.c.clip.in_(some), line.c.station == "")
        connection.execute(sa.delete(line).where(alone))
        connection.execute(sa.update(line).where(line.c.clip.in_(some)).values(clip=None))
        connection.execute(sa.delete(tables.clip).where(tables.clip.c.id.in_(some)))


def _bed_line(connection: sa.Connection, film: FilmedTurn) -> BedLine | None:
    line, a = tables.bed_line, schema.attempt.c
    which = line.c.clip == film.id
    if film.station:
        camp = sa.select(a.camp).where(a.id == film.attempt).scalar_subquery()
        which = which | sa.and_(line.c.camp == camp, line.c.station == film.station)
    row = connection.execute(sa.select(line).where(which).order_by(line.c.seq.desc())).first()
    if row is None:
        return None
    said: dict[str, Any] = dict(row._mapping)
    del said["seq"]
    ends = tuple(said.pop(end) for end in _ENDS)
    return BedLine(**said, ends=ends)


def _by(
    connection: sa.Connection, table: sa.Table, kind: type[Any], column: str, ids: Collection[UUID] | None
) -> Iterable[Any]:
    """The rows of these ids (all, if None) as values, in the order of writing."""
    columns = [table.c[field.name] for field in fields(kind)]
    for some in [None] if ids is None else batched(ids):
        query = sa.select(*columns).order_by(table.c.seq)
        if some is not None:
            query = query.where(table.c[column].in_(some))
        for row in connection.execute(query):
            yield kind(*row)
