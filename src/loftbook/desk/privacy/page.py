"""What the two pages of privacy show: one child, and the whole book."""

from __future__ import annotations

from dataclasses import dataclass
from uuid import UUID

from loftbook.desk import Desk
from loftbook.desk.privacy.backups import Backup, backups_of
from loftbook.desk.privacy.consenting import Agreed, agreed
from loftbook.desk.privacy.leaving import Line, left_the_machine
from loftbook.desk.privacy.report import Holding, retention


@dataclass(frozen=True)
class ChildsPrivacy:
    """What was agreed about one child, and what left about her."""

    agreed: Agreed
    left: tuple[Line, ...]


@dataclass(frozen=True)
class BooksPrivacy:
    """What is held, what left, and the backups."""

    held: tuple[Holding, ...]
    left: tuple[Line, ...]
    backups: tuple[Backup, ...]
    invented: bool


def childs_privacy(desk: Desk, athlete_id: UUID) -> ChildsPrivacy:
    """One child's page."""
    return ChildsPrivacy(agreed(desk, athlete_id), left_the_machine(desk, athlete_id))


def books_privacy(desk: Desk) -> BooksPrivacy:
    """The book's page."""
    left = left_the_machine(desk)
    backups = backups_of(desk.store.path) if desk.store.path else ()
    return BooksPrivacy(
        retention(desk), left, backups, any(who.invented for one in left for who in one.children)
    )
