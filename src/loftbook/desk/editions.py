"""Which ladder a book uses, and which ladder each edition was.

A book remembers the ladder that its camps were marked by. A coach's own one stays in
use until another is named; a copy of a shipped one follows the program. Two editions
that ask the same count as one; one edition never asks for two things.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from functools import lru_cache

from loftbook.desk import Desk
from loftbook.errors import LadderError
from loftbook.ladder.reading import read_ladder
from loftbook.ladder.rungs import Ladder, Rung
from loftbook.ladder.shipped import shipped_text, was_shipped
from loftbook.store import ladders
from loftbook.store.database import Connection


@lru_cache(maxsize=16)
def ladder_of(text: str) -> Ladder:
    """The ladder that a text tells; each text is read once."""
    return read_ladder(text)


def text_in_use(connection: Connection) -> str:
    """The text of the ladder that this book uses: the coach's own, or the shipped one of today."""
    now = ladders.ladder_in_use(connection)
    return shipped_text() if now is None or was_shipped(now.text) else now.text


def ladder_in_use(connection: Connection) -> Ladder:
    """The ladder that this book uses.

    Raises LadderError where a kept text can no longer be read.
    """
    text = text_in_use(connection)
    try:
        return ladder_of(text)
    except LadderError as error:
        raise LadderError(
            f"the ladder that this book uses no longer readable ({error.sentence().rstrip('.')})",
            "a ladder that this Loftbook reads",
            "name yours with --ladder FILE, or write the kept one with `loftbook ladder copy FILE`, "
            "correct it and name that",
        ) from error


def keep_edition(connection: Connection, desk: Desk) -> None:
    """Keeps the ladder of the desk with what is marked by it, and so brings it into use.

    Raises LadderError where its edition is known and asked for something else.
    """
    if _is_new(connection, desk):
        refuse_edited(desk.ladder_text, (kept.text for kept in ladders.ladder_texts(connection)))
        _keep(connection, desk)


def keep_edition_of_devices(connection: Connection, desk: Desk) -> None:
    """The same for what devices sent, whom no mistake in a ladder may stop: in doubt the old one stays in use."""
    try:
        keep_edition(connection, desk)
    except LadderError:
        return


def refuse_edited(text: str, known: Iterable[str] = ()) -> None:
    """Raises LadderError for a text that asks for something else under an edition that is known.

    Known are the shipped ladder and the texts given. A text that is among them, or was
    shipped once, is no edited one; a text that can no longer be read is passed over.
    """
    texts = (*known, shipped_text())
    if text in texts or was_shipped(text):
        return
    mine = ladder_of(text)
    for other in texts:
        differing = asking_otherwise(mine, other)
        if differing:
            names = ", ".join(f"“{rung.name}”" for rung in differing[:3])
            more = f" and {len(differing) - 3} more" if len(differing) > 3 else ""
            raise LadderError(
                f"a ladder of the edition “{mine.edition}” that asks for something else on {names}{more} than the one "
                "that is known by that name",
                "one standard to an edition, since marks are compared by it",
                f'give yours an edition of its own, such as edition = "{mine.edition}-2"',
            )


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


def _is_new(connection: Connection, desk: Desk) -> bool:
    """Whether the desk's ladder is to be brought into use.

    One that nobody named does not take the place of another's own that came meanwhile.
    """
    now = ladders.ladder_in_use(connection)
    if not desk.ladder_text or (now is not None and now.text == desk.ladder_text):
        return False
    return now is None or desk.ladder_named or was_shipped(now.text)


def _keep(connection: Connection, desk: Desk) -> None:
    ladder = desk.ladder
    text = ladders.LadderText(ladder.edition, ladder.dated, desk.ladder_text, desk.clock())
    ladders.use_ladder(connection, text)


def asking_otherwise(mine: Ladder, text: str) -> tuple[Rung, ...]:
    """The rungs that ask for something else in a text of the same edition."""
    try:
        other = ladder_of(text)
    except LadderError:
        return ()
    if other.edition != mine.edition:
        return ()
    asked = {rung.key: rung.standard for rung in other.rungs}
    return tuple(rung for rung in mine.rungs if asked.get(rung.key, rung.standard) != rung.standard)
