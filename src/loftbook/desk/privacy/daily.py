"""What is done by itself at each start of the pages and once a day: what is over goes, and the book is backed up."""

from __future__ import annotations

import shutil
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from pathlib import Path
from uuid import UUID

from loftbook.book.films import FilmGone
from loftbook.desk import Desk
from loftbook.desk.film.attaching import delete_what_is_over
from loftbook.desk.film.places import film_folder_of
from loftbook.desk.privacy.backups import Backup, back_up_if_due
from loftbook.errors import LoftbookError
from loftbook.store import clips, imports

#: A list that waits for answers holds names; so long it may wait. Common practice, no source.
LISTS_WAIT = timedelta(days=30)
#: Films beside the book that the book does not know (after a restore) are kept so long for somebody to notice.
UNKNOWN_FILMS_WAIT = timedelta(days=7)


@dataclass(frozen=True)
class Round:
    """What a round deleted, and the backup it made; `trouble` is a sentence where there was any."""

    films: tuple[FilmGone, ...] = ()
    unknown_films: int = 0
    lists: tuple[str, ...] = ()
    backup: Backup | None = None
    trouble: str = ""


def daily_round(desk: Desk) -> Round:
    """Deletes what is over and backs the book up where that is due; a backup that fails stops no deletion."""
    films = delete_what_is_over(desk)
    unknown = _delete_unknown_films(desk)
    lists = _put_old_lists_away(desk)
    if lists:
        desk.store.tidy()
    try:
        return Round(films, unknown, lists, back_up_if_due(desk))
    except LoftbookError as error:
        return Round(films, unknown, lists, trouble=error.sentence())


def unknown_films(desk: Desk) -> tuple[tuple[Path, datetime], ...]:
    """Folders of films that the book does not know, each with the moment of its last change."""
    if desk.store.path is None or not film_folder_of(desk.store.path).is_dir():
        return ()
    with desk.store.read() as connection:
        known = {film.id for film in clips.clips(connection)}
    found = (one for one in film_folder_of(desk.store.path).iterdir() if one.is_dir())
    return tuple(
        (one, datetime.fromtimestamp(one.stat().st_mtime, UTC)) for one in found if _id(one.name) not in known
    )


def _delete_unknown_films(desk: Desk) -> int:
    old = [folder for folder, at in unknown_films(desk) if desk.clock() - at > UNKNOWN_FILMS_WAIT]
    for folder in old:
        shutil.rmtree(folder, ignore_errors=True)
    return len(old)


def _put_old_lists_away(desk: Desk) -> tuple[str, ...]:
    with desk.store.read() as connection:
        old = [one for one in imports.all_pending(connection) if desk.clock() - one.at > LISTS_WAIT]
    if old:
        with desk.store.write() as connection:
            for one in old:
                imports.drop_pending(connection, one.digest)
    return tuple(one.name for one in old)


def _id(text: str) -> UUID | None:
    try:
        return UUID(text)
    except ValueError:
        return None


def round_lines(done: Round) -> Iterator[str]:
    """What a round did, in words."""
    yield from (f"film {one.clip} deleted: {one.why}" for one in done.films)
    yield from (f"list {name} put away: it waited more than {LISTS_WAIT.days} days" for name in done.lists)
    if done.unknown_films:
        yield f"{done.unknown_films} films that the book does not know deleted"
    if done.backup:
        yield f"backup made: {done.backup.file}"
    if done.trouble:
        yield done.trouble
    if done == Round():
        yield "Nothing was over, and no backup is due."
