"""Takes a child out of the book inside one write: her rows, her names in the words of others, lists that wait."""

from __future__ import annotations

import io
import zipfile
from collections import Counter
from dataclasses import dataclass
from uuid import UUID

from loftbook.book.naming import Naming, naming_of
from loftbook.store import erasing, imports, people
from loftbook.store.database import Connection
from loftbook.store.imports import PendingImport


@dataclass(frozen=True)
class Forgotten:
    """What one write took out: rows by table, texts of others that named her by table, lists that were put away."""

    rows: Counter[str]
    texts: Counter[str]
    lists: tuple[str, ...]
    naming: Naming


def forget_child(connection: Connection, athlete_id: UUID) -> Forgotten:
    """Every row and every name of one child; what still names her can be asked of `store.erasing.traces`.

    Raises UnknownThing for a child who is not in the book.
    """
    her = people.athlete(connection, athlete_id)
    coaches = [one.name for one in people.people(connection)]
    naming = naming_of(her, people.athletes(connection), coaches)
    rows = erasing.erase_athlete(connection, athlete_id)
    lists = tuple(one for one in imports.all_pending(connection) if _holds(one, naming))
    for one in lists:
        imports.drop_pending(connection, one.digest)
    return Forgotten(rows, erasing.redact(connection, naming), tuple(one.name for one in lists), naming)


def _holds(waiting: PendingImport, naming: Naming) -> bool:
    """Whether a list that waits for answers names her, in whatever way its bytes are to be read."""
    return any(
        naming.names_her(text) or _apart(text, naming)
        for text in (*_texts(waiting.data), str(waiting.options), str(waiting.answers))
    )


def _apart(text: str, naming: Naming) -> bool:
    """Both parts of her name somewhere in a list, whose columns may stand far apart."""
    folded = text.casefold()
    return any(
        name.given.strip().casefold() in folded and name.family.strip().casefold() in folded
        for name in naming.names
    )


def _texts(data: bytes) -> tuple[str, ...]:
    if data[:2] == b"PK":
        try:
            with zipfile.ZipFile(io.BytesIO(data)) as packed:
                return tuple(packed.read(name).decode("utf-8", "replace") for name in packed.namelist())
        except (zipfile.BadZipFile, OSError, RuntimeError):
            return ()
    return tuple(data.decode(encoding, "replace") for encoding in ("utf-8", "cp1252", "utf-16", "utf-16-be"))
