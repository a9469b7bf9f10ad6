"""What the studio's page has to know before its figure can fly."""

from __future__ import annotations

from dataclasses import dataclass
from uuid import UUID

from loftbook.book.people import Athlete
from loftbook.desk import Desk
from loftbook.desk.lab.flying import CAUTION
from loftbook.desk.people import athlete


@dataclass(frozen=True)
class StudioAnswer:
    """Whose body is flown, where it is somebody of the book's, and the caution that goes with every picture."""

    athlete: Athlete | None
    caution: str = CAUTION

    @property
    def invented(self) -> bool:
        """Whether the one whose body it is was made up."""
        return self.athlete is not None and self.athlete.invented


def studio(desk: Desk, athlete_id: UUID | None = None) -> StudioAnswer:
    """The studio for anybody, or with the height and the age of one of the book's."""
    return StudioAnswer(None if athlete_id is None else athlete(desk, athlete_id))
