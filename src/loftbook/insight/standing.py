"""From the attempts of one gymnast at one camp on one rung to one word, with its grounds."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime
from enum import Enum
from uuid import UUID

from loftbook.book.attempts import Attempt
from loftbook.ladder.rungs import Rung
from loftbook.ladder.scales import Help, Landing, Outcome, TakeOff


class State(Enum):
    """Where she stood on a rung at a camp. The last six are blanks, none of them a failure."""

    ALONE = "alone"  # met the rung's standard
    HELPED = "helped"  # did it, with more help or on other surfaces than the standard asks for
    TRIED = "tried"
    NOT_TRIED = "not_tried"
    STOPPED = "stopped"
    DECLINED = "declined"
    NOT_ALLOWED = "not_allowed"
    ABSENT = "absent"
    NO_RECORD = "no_record"  # nothing was written at all

    @property
    def is_blank(self) -> bool:
        """True where nothing was shown."""
        return self not in (State.ALONE, State.HELPED, State.TRIED)

    @property
    def words(self) -> str:
        """What a coach reads."""
        return _STATE_WORDS[self]


_STATE_WORDS = {
    State.ALONE: "alone",
    State.HELPED: "with help",
    State.TRIED: "tried, not yet",
    State.NOT_TRIED: "not tried",
    State.STOPPED: "stopped",
    State.DECLINED: "declined today",
    State.NOT_ALLOWED: "not allowed today",
    State.ABSENT: "absent",
    State.NO_RECORD: "nothing written",
}


@dataclass(frozen=True)
class Standing:
    """What the attempts of one camp say of one gymnast on one rung.

    `turns` counts attempts that were taken (did it or tried), `done` those that met
    the standard. `help` is the least help with which she did it. `why_not_alone`
    says in words what kept a done attempt from meeting the standard.
    """

    athlete: UUID
    camp: UUID
    rung: str
    state: State
    turns: int = 0
    done: int = 0
    help: Help | None = None
    take_off: TakeOff | None = None
    landing: Landing | None = None
    raters: tuple[str, ...] = ()
    edition: str = ""
    first_at: datetime | None = None
    why_not_alone: str = ""


def meets_standard(attempt: Attempt, rung: Rung) -> tuple[bool, str]:
    """Whether one attempt meets the rung's camp standard, and if not, why.

    What was not written down (help, surface) does not meet it: nothing is assumed.
    """
    standard = rung.standard
    if attempt.outcome not in standard.outcomes:
        return False, attempt.outcome.words
    if attempt.help is None:
        return False, "help was not written down"
    if attempt.help < standard.help:
        return False, attempt.help.words
    if standard.take_offs and attempt.take_off not in standard.take_offs:
        place = attempt.take_off.words if attempt.take_off else "a take-off not written down"
        return False, f"from {place}"
    if standard.landings and attempt.landing not in standard.landings:
        place = attempt.landing.words if attempt.landing else "a landing not written down"
        return False, f"onto {place}"
    return True, ""


def standing_of(attempts: Iterable[Attempt], rung: Rung, *, counting: str = "any") -> Standing:
    """The standing that these attempts give; all of one gymnast, camp and rung, in force.

    `counting` is the ladder's policy: "any" (one good attempt is enough), "first" or
    "last" (only that turn counts). Raises ValueError when there is no attempt.
    """
    rows = sorted(attempts, key=lambda a: (a.at, a.id))
    if not rows:
        raise ValueError("standing_of needs at least one attempt")
    taken = [a for a in rows if not a.outcome.is_blank]
    counted = {"any": taken, "first": taken[:1], "last": taken[-1:]}[counting]
    verdicts = [(a, *meets_standard(a, rung)) for a in counted]
    good = [a for a, met, _ in verdicts if met]
    helped = [(a, why) for a, met, why in verdicts if not met and a.outcome is Outcome.DID_IT]
    best, state, why = _best(rows, taken, good, helped)
    return Standing(
        athlete=best.athlete,
        camp=best.camp,
        rung=rung.key,
        state=state,
        turns=len(taken),
        done=len(good),
        help=best.help if state in (State.ALONE, State.HELPED) else None,
        take_off=best.take_off,
        landing=best.landing,
        raters=tuple(sorted({a.rater for a in rows if a.rater})),
        edition=best.edition,
        first_at=good[0].at if good else None,
        why_not_alone=why,
    )


def _best(
    rows: list[Attempt], taken: list[Attempt], good: list[Attempt], helped: list[tuple[Attempt, str]]
) -> tuple[Attempt, State, str]:
    if good:
        return good[0], State.ALONE, ""
    if helped:
        attempt, why = max(helped, key=lambda pair: (pair[0].help or 0, pair[0].at))
        return attempt, State.HELPED, why
    if taken:
        return taken[-1], State.TRIED, taken[-1].rotation.value if taken[-1].rotation else ""
    return rows[-1], State(rows[-1].outcome.value), rows[-1].outcome.words
