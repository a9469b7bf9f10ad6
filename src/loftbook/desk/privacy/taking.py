"""A child's own archive as somebody takes it: written to a file, or given to a browser, and noted as having left."""

from __future__ import annotations

from pathlib import Path
from uuid import UUID

from loftbook.book.people import Athlete
from loftbook.desk import Desk
from loftbook.desk.privacy.erasing import ARCHIVE
from loftbook.desk.privacy.export import all_about
from loftbook.desk.privacy.leaving import Leaving, written
from loftbook.errors import LoftbookError

FOR_WHOM = "herself, a parent or guardian"


def export_to(desk: Desk, athlete_id: UUID, to: Path) -> Athlete:
    """Writes the archive to a file; nothing half written stays. Raises a sentence where that cannot be."""
    draft = to.with_name(f".{to.name}.part")
    try:
        her = all_about(desk, athlete_id, draft)
        draft.replace(to)
    except OSError as error:
        raise LoftbookError(
            f"no way to write {to} ({error.strerror})",
            "a folder you may write to",
            "choose another with --to",
        ) from error
    finally:
        draft.unlink(missing_ok=True)
    written(desk, Leaving(ARCHIVE, FOR_WHOM, (athlete_id,)), to)
    return her
