"""What was said about filming a child: written down with who said it, who wrote it down and when."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from uuid import UUID

from loftbook.book.consent import Consent, Purpose, Word, word_on
from loftbook.book.people import Athlete
from loftbook.desk import Desk
from loftbook.desk.entry import new_id
from loftbook.errors import Refused
from loftbook.store import clips, people
from loftbook.store.database import Connection


@dataclass(frozen=True)
class Spoken:
    """A word on filming as it is to be written down: about what, yes or no, by whom, and until when a yes holds."""

    purpose: Purpose
    allowed: bool
    said_by: str
    recorded_by: str
    until: date | None = None


def record_consent(desk: Desk, athlete_id: UUID, said: Spoken) -> Consent:
    """Writes down a yes or a no as of today. Taking a yes back is a no of its own; nothing is overwritten."""
    today = desk.clock().date()
    for who, text in (("who said it", said.said_by), ("who writes it down", said.recorded_by)):
        if not text.strip():
            raise Refused(f"a word on filming without {who}", "a name", "write the name; a parent’s will do")
    if said.until is not None and said.until < today:
        raise Refused(
            f"a yes until {said.until.isoformat()}, which is over", "a day to come", "choose a later day"
        )
    fact = Consent(
        id=new_id(desk),
        athlete=athlete_id,
        purpose=said.purpose,
        allowed=said.allowed,
        on=today,
        said_by=said.said_by.strip()[:200],
        recorded_by=said.recorded_by.strip()[:200],
        at=desk.clock(),
        until=said.until if said.allowed else None,
    )
    with desk.store.write() as connection:
        people.athlete(connection, athlete_id)
        clips.add_consents(connection, [fact])
    return fact


def words_on_filming(connection: Connection, athlete: Athlete, day: date) -> dict[Purpose, Word | None]:
    """What stands about each purpose on a day."""
    said = clips.consents_of(connection, [athlete.id])
    return {purpose: word_on(purpose, day, athlete=athlete, consents=said) for purpose in Purpose}


def must_be_allowed(word: Word | None, athlete: Athlete) -> Word:
    """The yes to being filmed; raises Refused, with what to do, where there is none."""
    if word is None:
        raise Refused(
            f"no consent to filming {athlete.name.full} in the book",
            "a recorded yes",
            "ask whoever may decide for her, write down who said yes, and put the film there again; "
            "nothing was kept of it",
        )
    if not word.allowed:
        raise Refused(
            f"a word against it: {word.rests_on}",
            "a yes that stands today",
            "delete the film on the phone, or ask again and write the new word down; nothing was kept of it",
        )
    return word
