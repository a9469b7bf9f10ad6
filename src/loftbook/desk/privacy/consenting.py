"""What was agreed about a child, all purposes together: what stands today, and everything that was ever said."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import dataclass
from datetime import date
from uuid import UUID

from loftbook.book.consent import Consent, Purpose, Word, word_on
from loftbook.book.people import Athlete
from loftbook.desk import Desk
from loftbook.store import clips, people
from loftbook.store.database import Connection


@dataclass(frozen=True)
class Agreed:
    """What was agreed about one child: the word that stands on each purpose today, and all that was said."""

    athlete: Athlete
    words: Mapping[Purpose, Word | None]
    said: tuple[Consent, ...]


def agreed(desk: Desk, athlete_id: UUID) -> Agreed:
    """What was agreed about one child as of today."""
    today = desk.clock().date()
    with desk.store.read() as connection:
        her = people.athlete(connection, athlete_id)
        said = clips.consents_of(connection, [athlete_id])
    words = {one: word_on(one, today, athlete=her, consents=said) for one in Purpose}
    return Agreed(her, words, said)


def words_on_writing(
    connection: Connection, athletes: Collection[Athlete], day: date
) -> dict[UUID, Word | None]:
    """What stands about writing to the home coach, for each of these children."""
    said = clips.consents_of(connection, [one.id for one in athletes])
    return {one.id: word_on(Purpose.HOME_COACH, day, athlete=one, consents=said) for one in athletes}


def said_no(word: Word | None) -> bool:
    """Whether somebody said no, or a yes is over."""
    return word is not None and not word.allowed


def word_lines(found: Agreed) -> tuple[str, ...]:
    """What was agreed, in words: each purpose with the word that stands, then everything that was said."""
    lines = [found.athlete.name.full]
    for purpose, word in found.words.items():
        stands = "nothing written" if word is None else word.rests_on
        over = (
            ", over"
            if word is not None and word.until and not word.allowed and "yes" in word.rests_on[:3]
            else ""
        )
        lines.append(f"  {purpose.value}: {stands}{over}")
    lines += [
        f"  {one.on}: {'yes' if one.allowed else 'no'} to {one.purpose.words}, said by {one.said_by}, "
        f"written down by {one.recorded_by}"
        for one in found.said
    ]
    return tuple(lines)
