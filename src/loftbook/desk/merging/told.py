"""What a merge did or would do, part by part, in numbers and sentences."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from typing import Any
from uuid import UUID

from loftbook.book.records import digest_of_record
from loftbook.book.typed.decisions import FileDecision


@dataclass(frozen=True)
class Part:
    """One kind of fact: how many came new, were here, contradict what is here, could not come.

    `waiting` hang on an open question, `left_out` on an answer to leave out. `aside` are the
    conflicts as the page for the head coach keeps them, both values in each.
    """

    what: str
    stored: int = 0
    duplicate: int = 0
    conflict: int = 0
    refused: int = 0
    waiting: int = 0
    left_out: int = 0
    notes: tuple[str, ...] = ()
    aside: tuple[Mapping[str, Any], ...] = ()
    rows: Any = field(default=None, repr=False)  # what is to be written, known to the part alone

    @property
    def sentence(self) -> str:
        """The numbers that are not 0, in words."""
        said = [
            f"{number} {words}"
            for number, words in (
                (self.stored, "new"),
                (self.duplicate, "here already"),
                (self.conflict, "in conflict, for the head coach"),
                (self.refused, "refused"),
                (self.waiting, "waiting for an answer"),
                (self.left_out, "left out"),
            )
            if number
        ]
        return f"{self.what}: {', '.join(said) or 'none'}"


@dataclass(frozen=True)
class Merged:
    """What became of another book."""

    name: str
    parts: tuple[Part, ...]
    questions: tuple[FileDecision, ...]
    notes: tuple[str, ...]
    written: bool

    @property
    def has_news(self) -> bool:
        """True where anything is to be written."""
        return any(part.stored or part.aside for part in self.parts)

    def as_dict(self) -> dict[str, Any]:
        """The whole as plain values."""
        names = ("stored", "duplicate", "conflict", "refused", "waiting", "left_out", "notes")
        return {
            "book": self.name,
            "written": self.written,
            "parts": {part.what: {name: getattr(part, name) for name in names} for part in self.parts},
            "questions": self.questions,
            "notes": self.notes,
        }


def conflict_row(  # noqa: PLR0913 - a conflict is between two values, of somebody, at a camp
    kind: str,
    here: str,
    there: str,
    *,
    name: str,
    way: str,
    athlete: UUID | None = None,
    camp: UUID | None = None,
    **more: Any,
) -> dict[str, Any]:
    """A conflict that is no turn, as the page for the head coach keeps it: both values, in words.

    `more` is what is needed to take the other value over, if she says so.
    """
    record: dict[str, Any] = {"kind": kind, "of": name, "here": here, "there": there} | more
    about = {"athlete": str(athlete or ""), "camp": str(camp or "")}
    return {
        "digest": digest_of_record(record | about),
        "id": None,
        "athlete": athlete,
        "camp": camp,
        "verdict": "conflict",
        "why": f"Two books say different things about {name} ({kind}). What is in this book stands until then.",
        "record": record,
        "device": None,
        "way": way,
    }


def summed(parts: Iterable[Part]) -> dict[str, int]:
    """All parts together."""
    names = ("stored", "duplicate", "conflict", "refused", "waiting", "left_out")
    every = tuple(parts)
    return {name: sum(getattr(part, name) for part in every) for name in names}
