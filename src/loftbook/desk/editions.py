"""Which ladder each edition was, so that two editions that ask the same count as one."""

from __future__ import annotations

from collections.abc import Mapping
from functools import lru_cache

from loftbook.desk import Desk
from loftbook.errors import LadderError
from loftbook.ladder.reading import read_ladder
from loftbook.ladder.rungs import Ladder
from loftbook.store import ladders
from loftbook.store.database import Connection


@lru_cache(maxsize=16)
def ladder_of(text: str) -> Ladder:
    """The ladder that a text tells; each text is read once."""
    return read_ladder(text)


def keep_edition(connection: Connection, desk: Desk) -> None:
    """Keeps the text of the ladder in use beside the camps that were marked by it."""
    if desk.ladder_text:
        ladder = desk.ladder
        text = ladders.LadderText(ladder.edition, ladder.dated, desk.ladder_text, desk.clock())
        ladders.use_ladder(connection, text)


def editions(connection: Connection, desk: Desk) -> Mapping[str, Ladder]:
    """Every edition that the book knows; a text that can no longer be read is left out."""
    known: dict[str, Ladder] = {}
    for kept in ladders.ladder_texts(connection):
        if kept.text != desk.ladder_text:
            try:
                known[kept.edition] = ladder_of(kept.text)
            except LadderError:
                continue
    return known | {desk.ladder.edition: desk.ladder}
