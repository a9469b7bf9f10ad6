"""What the evidence is laid out from, and one point of it. The words of a point stand with the texts of the sheets."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from uuid import UUID

from loftbook.book.answering import HomeAnswer
from loftbook.book.attempts import Attempt
from loftbook.book.deciding import Decision
from loftbook.book.people import Athlete, Camp
from loftbook.insight.change import Change
from loftbook.insight.measured import Measured
from loftbook.ladder.rungs import Ladder


@dataclass(frozen=True)
class Point:
    """One thing that was measured, is missing or speaks against; `on` is None where no day was written."""

    kind: str
    values: Mapping[str, str]
    on: date | None = None


@dataclass(frozen=True)
class Known:
    """All that the book says of one gymnast, read already; `turns` in force, `changes` at her latest camp."""

    athlete: Athlete
    ladder: Ladder
    camps: Mapping[UUID, Camp]
    turns: Sequence[Attempt]
    changes: Sequence[Change]
    films: Sequence[Measured]
    may_be_filmed: bool
    decisions: Sequence[Decision]
    today: date
    trained: Sequence[HomeAnswer] = ()  # what home coaches wrote, the newest first; those that stand
