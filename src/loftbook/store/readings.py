"""What was measured from films: findings, which may be dropped and made again from the facts and the tracks."""

from __future__ import annotations

from collections.abc import Collection, Iterable
from dataclasses import dataclass
from typing import Any
from uuid import UUID

import sqlalchemy as sa

from loftbook.film.reading import Reading
from loftbook.mechanics.flight import Trust, Verdict
from loftbook.store.batches import batched, insert_all
from loftbook.store.clip_tables import film_measured, reading


@dataclass(frozen=True)
class FilmMeasured:
    """A finding: what was made of one film as a whole, and its readings in order."""

    clip: UUID
    track: UUID | None
    verdict: Verdict
    reasons: tuple[str, ...]
    recipe: str
    told: dict[str, Any]  # phases, flights and what else the pages show
    readings: tuple[Reading, ...] = ()


def measured(connection: sa.Connection, clips: Collection[UUID] | None = None) -> dict[UUID, FilmMeasured]:
    """What was measured from these films (all, if None); those not measured yet are left out."""
    found: dict[UUID, FilmMeasured] = {}
    for some in [None] if clips is None else batched(clips):
        heads = sa.select(film_measured).order_by(film_measured.c.seq)
        rows = sa.select(reading).order_by(reading.c.clip, reading.c.number)
        if some is not None:
            heads, rows = heads.where(film_measured.c.clip.in_(some)), rows.where(reading.c.clip.in_(some))
        told: dict[UUID, list[Reading]] = {}
        for row in connection.execute(rows):
            told.setdefault(row.clip, []).append(_reading(row))
        for row in connection.execute(heads):
            verdict = Verdict(Trust(row.trust), row.sentence)
            readings = tuple(told.get(row.clip, ()))
            found[row.clip] = FilmMeasured(
                row.clip, row.track, verdict, row.reasons, row.recipe, row.told, readings
            )
    return found


def keep_measured(connection: sa.Connection, new: FilmMeasured) -> None:
    """Keeps a finding instead of an earlier one of the same film."""
    drop_measured(connection, [new.clip])
    head = {
        "clip": new.clip,
        "track": new.track,
        "trust": str(new.verdict.trust),
        "sentence": new.verdict.sentence,
        "reasons": new.reasons,
        "recipe": new.recipe,
        "told": new.told,
    }
    insert_all(connection, film_measured, [head])
    insert_all(connection, reading, [_row(new.clip, n, one) for n, one in enumerate(new.readings)])


def drop_measured(connection: sa.Connection, clips: Iterable[UUID] | None = None) -> None:
    """Drops what was measured from these films (all, if None)."""
    for table in (reading, film_measured):
        if clips is None:
            connection.execute(sa.delete(table))
        else:
            for some in batched(tuple(clips)):
                connection.execute(sa.delete(table).where(table.c.clip.in_(some)))


def _row(clip: UUID, number: int, one: Reading) -> dict[str, Any]:
    is_word = isinstance(one.value, str)
    return {
        "clip": clip,
        "number": number,
        "name": one.name,
        "value": None if is_word else one.value,
        "word": one.value if is_word else None,
        "unit": one.unit,
        "uncertainty": one.uncertainty,
        "trust": str(one.verdict.trust),
        "sentence": one.verdict.sentence,
        "basis": one.basis,
        "recipe": one.recipe,
    }


def _reading(row: Any) -> Reading:
    value = row.word if row.word is not None else row.value
    verdict = Verdict(Trust(row.trust), row.sentence)
    return Reading(row.name, value, row.unit, row.uncertainty, verdict, row.basis, row.recipe)
