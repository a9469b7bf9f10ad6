"""Films of another book: which turn they show, what was found in them, and their files where that is asked."""

from __future__ import annotations

import shutil
from collections.abc import Mapping
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any
from uuid import UUID

from loftbook.book.films import FilmedTurn
from loftbook.desk.film.places import clip_files, film_folder_of
from loftbook.desk.merging.sides import Sides
from loftbook.desk.merging.told import Part
from loftbook.errors import LoftbookError
from loftbook.store import clips, film_rows
from loftbook.store.database import Connection


@dataclass(frozen=True)
class _Films:
    new: tuple[FilmedTurn, ...]
    rows: Mapping[str, list[dict[str, Any]]]
    lines: tuple[dict[str, Any], ...]  # of the bed
    gone: tuple[dict[str, Any], ...]


def meet_films(sides: Sides, turns: Mapping[UUID, UUID], coming: frozenset[UUID]) -> Part:
    """Every film of the other book whose turn comes or is here.

    `turns` says which turn of this book each of the other's is; `coming` are the consents that come.
    One that was deleted here stays deleted.
    """
    theirs = clips.clips(sides.there)
    ours = clips.clips(sides.here)
    known = {film.id for film in ours}
    shown = {(film.digest, film.attempt) for film in ours}
    gone_here = {line["clip"] for line in film_rows.gone_clips(sides.here)}
    new: list[FilmedTurn] = []
    same = deleted = refused = 0
    for film in theirs:
        turn = turns.get(film.attempt)
        if film.id in known or (turn and (film.digest, turn) in shown):
            same += 1
        elif film.id in gone_here:
            deleted += 1
        elif turn is None:
            refused += 1
        else:
            new.append(replace(film, attempt=turn, consent=film.consent if film.consent in coming else None))
    rows = film_rows.rows_of_clips(sides.there, [film.id for film in new])
    lines, gone = _bed_lines(sides, known | {film.id for film in new}), _gone(sides, turns, gone_here, known)
    still = {line["clip"] for line in film_rows.gone_clips(sides.there)} & known
    return Part(
        "films",
        stored=len(new) + len(lines) + len(gone),
        duplicate=same,
        refused=refused,
        left_out=deleted,
        notes=_notes(deleted, refused, len(still)),
        rows=_Films(tuple(new), rows, lines, gone),
    )


def _notes(deleted: int, refused: int, still: int) -> tuple[str, ...]:
    said = (
        (deleted, "{n} of the films were deleted in this book, and stay deleted."),
        (refused, "{n} of the films show a turn that is not taken over."),
        (
            still,
            "{n} of the films of this book were deleted in the other one; look whether they are to go here too.",
        ),
    )
    return tuple(words.format(n=number) for number, words in said if number)


def write_films(connection: Connection, part: Part) -> None:
    """Writes the new films, what was found in them, and the lines of the bed."""
    rows: _Films = part.rows
    for film in rows.new:
        clips.add_clip(connection, film)
    film_rows.add_rows_of_clips(connection, rows.rows)
    film_rows.add_bed_lines(connection, rows.lines)
    film_rows.add_gone_clips(connection, rows.gone)


def bring_files(sides: Sides, book: Path) -> int:
    """Copies the files of films that this book knows and has no files of; returns of how many films.

    Each folder is made under another name and renamed when it is whole, so that a merge that was
    interrupted is simply repeated.
    """
    brought = 0
    for film in clips.clips(sides.here):
        source, target = film_folder_of(book) / str(film.id), clip_files(sides.desk, film.id).folder
        if target.exists() or not source.is_dir():
            continue
        draft = target.with_name(f".{target.name}.coming")
        try:
            shutil.rmtree(draft, ignore_errors=True)
            shutil.copytree(source, draft)
            draft.rename(target)
            clip_files(sides.desk, film.id).kept()
        except OSError as error:
            raise LoftbookError(
                f"no way to copy the film {film.name} ({error.strerror})",
                "a disk with room for it",
                "free some space beside the book, and merge once more: what came is kept",
            ) from error
        brought += 1
    return brought


def _bed_lines(sides: Sides, known: set[UUID]) -> tuple[dict[str, Any], ...]:
    have = {line["id"] for line in film_rows.bed_lines(sides.here)}
    found = []
    for line in film_rows.bed_lines(sides.there):
        camp, on = sides.camps.get(line["camp"]), line["clip"]
        lost = on is not None and on not in known
        if camp is not None and line["id"] not in have and not (lost and not line["station"]):
            found.append(line | {"camp": camp, "clip": None if lost else on})
    return tuple(found)


def _gone(
    sides: Sides, turns: Mapping[UUID, UUID], gone_here: set[UUID], known: set[UUID]
) -> tuple[dict[str, Any], ...]:
    lines = film_rows.gone_clips(sides.there)
    return tuple(
        line | {"attempt": turns[line["attempt"]]}
        for line in lines
        if line["clip"] not in gone_here | known and line["attempt"] in turns
    )
