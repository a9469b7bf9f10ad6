"""What stands in the entry form: as text, so that nothing typed is lost when it is refused."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import datetime
from uuid import UUID

from starlette.datastructures import FormData

from loftbook.book.attempts import Attempt
from loftbook.book.entries import Entry
from loftbook.errors import Refused
from loftbook.web.forms import identity, text

_MARK = "mark_"


@dataclass(frozen=True)
class Typed:
    """The fields of the form, filled or empty."""

    rung: str = ""
    outcome: str = ""
    help: str = ""
    rotation: str = ""
    take_off: str = ""
    landing: str = ""
    marks: Mapping[str, int] = field(default_factory=dict)
    note: str = ""
    rater: str = ""
    replaces: UUID | None = None

    @classmethod
    def from_entry(cls, entry: Entry) -> Typed:
        """An entry that could not stand, for the form to show again."""
        return cls(
            rung=entry.rung,
            outcome=entry.outcome,
            help=entry.help,
            rotation=entry.rotation,
            take_off=entry.take_off,
            landing=entry.landing,
            marks=entry.marks,
            note=entry.note,
            rater=entry.rater,
            replaces=entry.replaces,
        )


def typed_of(turn: Attempt) -> Typed:
    """A turn that is to be corrected: the form shows what was written, and replaces it."""
    return Typed(
        rung=turn.rung,
        outcome=turn.outcome.value,
        help=turn.help.key if turn.help is not None else "",
        rotation=turn.rotation.value if turn.rotation else "",
        take_off=turn.take_off.value if turn.take_off else "",
        landing=turn.landing.value if turn.landing else "",
        marks=turn.marks,
        note=turn.note,
        replaces=turn.id,
    )


def entry_of(form: FormData, camp_id: UUID, athlete_id: UUID, *, at: datetime) -> Entry:
    """What the form sent, as an entry for the desk to judge.

    The page made the id, so a form that is sent twice is one entry. The time is the
    machine's, when it came in.
    """
    entry_id = identity(form, "id")
    if entry_id is None:
        raise Refused(
            "a form without its number", "the page’s own form", "load the page again and write it there"
        )
    return Entry(
        id=entry_id,
        camp=camp_id,
        athlete=athlete_id,
        rung=text(form, "rung"),
        outcome=text(form, "outcome"),
        at=at,
        rater=text(form, "rater"),
        help=text(form, "help"),
        take_off=text(form, "take_off"),
        landing=text(form, "landing"),
        rotation=text(form, "rotation"),
        marks=_marks(form),
        note=text(form, "note"),
        device="this machine",
        replaces=identity(form, "replaces"),
    )


def _marks(form: FormData) -> dict[str, int]:
    given = {name.removeprefix(_MARK): text(form, name) for name in form if name.startswith(_MARK)}
    return {key: int(value) for key, value in given.items() if value in ("1", "2", "3")}
