"""One turn on the bed, as it was seen: the fact everything else rests on.

Facts are never changed. A correction is a new attempt that names the one it
replaces; a withdrawal is a fact of its own. `in_force` tells which attempts count,
`clashes` where two people corrected the same one.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from datetime import datetime
from uuid import UUID

from loftbook.ladder.scales import Help, Landing, Outcome, Rotation, TakeOff


@dataclass(frozen=True)
class Attempt:
    """A fact: who showed which rung, with what help, from what onto what, and how it ended."""

    id: UUID
    camp: UUID
    athlete: UUID
    rung: str
    outcome: Outcome
    at: datetime  # UTC, as the device said
    rater: str
    edition: str
    help: Help | None = None  # None: not written down
    take_off: TakeOff | None = None
    landing: Landing | None = None
    rotation: Rotation | None = None
    marks: Mapping[str, int] = field(default_factory=dict)  # criterion -> 1, 2, 3
    note: str = ""
    device: str = ""
    source: str = ""  # "entry", or "list <file> row 5"
    replaces: UUID | None = None
    turn: int | None = None  # her how-manieth on this rung at this camp, as the rater counted
    second: bool = False  # marked beside another rater, without seeing that mark

    @property
    def came_round(self) -> str:
        """How the turns came round: "short", "on", "over", or "landed, but short"; empty where not written."""
        if self.rotation is None:
            return ""
        landed = self.outcome is Outcome.DID_IT and self.rotation is Rotation.SHORT
        return "landed, but short" if landed else self.rotation.value


@dataclass(frozen=True)
class Withdrawal:
    """A fact: an attempt was written by mistake and does not count."""

    id: UUID
    attempt: UUID
    by: str
    at: datetime
    reason: str = ""


@dataclass(frozen=True)
class Clash:
    """Two corrections of the same attempt; both are kept until the head coach chooses."""

    original: UUID
    corrections: tuple[Attempt, ...]


def in_force(attempts: Iterable[Attempt], withdrawals: Iterable[Withdrawal] = ()) -> tuple[Attempt, ...]:
    """The attempts that count: neither replaced nor withdrawn, oldest first.

    Where two corrections replace the same attempt both are returned; `clashes`
    names them. Nothing is chosen silently.

    >>> in_force([])
    ()
    """
    known = tuple(attempts)
    gone = {a.replaces for a in known if a.replaces} | {w.attempt for w in withdrawals}
    return tuple(sorted((a for a in known if a.id not in gone), key=lambda a: (a.at, a.id)))


def clashes(attempts: Iterable[Attempt], withdrawals: Iterable[Withdrawal] = ()) -> tuple[Clash, ...]:
    """Attempts that were corrected twice, with both corrections.

    >>> clashes([])
    ()
    """
    groups: dict[UUID, list[Attempt]] = {}
    for attempt in in_force(attempts, withdrawals):
        if attempt.replaces is not None:
            groups.setdefault(attempt.replaces, []).append(attempt)
    return tuple(Clash(key, tuple(rows)) for key, rows in groups.items() if len(rows) > 1)
