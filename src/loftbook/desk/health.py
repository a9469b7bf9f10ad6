"""Whether the book can be served: database, work in hand, room on the disk, the last backup. Nobody is named."""

from __future__ import annotations

import shutil
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from datetime import timedelta

from loftbook.desk import Desk
from loftbook.desk.privacy.backups import backups_of
from loftbook.errors import LoftbookError
from loftbook.store import jobs, meta

# Common practice, no source: a film of two minutes is 0.2 GB, a backup is made once a day.
LEAST_ROOM = 1_000_000_000  # bytes
OLDEST_BACKUP = timedelta(hours=48)
LONGEST_WAIT = timedelta(hours=1)  # of a job that nobody takes up


@dataclass(frozen=True)
class Finding:
    """One thing that was looked at: whether it is well, and a sentence with its number."""

    name: str
    well: bool
    says: str


@dataclass(frozen=True)
class Health:
    """Everything that was looked at."""

    findings: tuple[Finding, ...]

    @property
    def well(self) -> bool:
        """True where all of it is."""
        return all(one.well for one in self.findings)


def health(desk: Desk) -> Health:
    """Looks at what the server needs; what cannot be looked at is not well, and never an error."""
    return Health(tuple(_looks(desk)))


def _looks(desk: Desk) -> Iterator[Finding]:
    looks: tuple[tuple[str, Callable[[Desk], Finding]], ...] = (
        ("database", _database),
        ("jobs", _jobs),
        ("disk", _disk),
        ("backup", _backup),
    )
    for name, look in looks:
        try:
            yield look(desk)
        except (LoftbookError, OSError) as trouble:
            # Not its sentence: that may name a file or an address.
            yield Finding(name, well=False, says=f"cannot be looked at ({type(trouble).__name__})")


def _database(desk: Desk) -> Finding:
    with desk.store.read() as connection:
        return Finding("database", well=True, says=f"read at revision {meta.revision(connection)}")


def _jobs(desk: Desk) -> Finding:
    with desk.store.read() as connection:
        waiting, running, oldest = jobs.in_hand(connection)
    late = oldest is not None and not running and desk.clock() - oldest > LONGEST_WAIT
    return Finding(
        "jobs",
        well=not late,
        says=f"{waiting} waiting, {running} running" + ("; nobody takes them up" if late else ""),
    )


def _disk(desk: Desk) -> Finding:
    if desk.store.path is None:
        return Finding("disk", well=True, says="the book lies on a server")
    free = shutil.disk_usage(desk.store.path.parent).free
    return Finding("disk", well=free >= LEAST_ROOM, says=f"{free / 1e9:.1f} GB free")


def _backup(desk: Desk) -> Finding:
    if desk.store.path is None:
        return Finding("backup", well=True, says="the server's own tools make them")
    made = backups_of(desk.store.path)
    if not made:
        return Finding("backup", well=False, says="none yet")
    age = desk.clock() - made[0].at
    return Finding("backup", well=age <= OLDEST_BACKUP, says=f"{age / timedelta(hours=1):.1f} hours old")
