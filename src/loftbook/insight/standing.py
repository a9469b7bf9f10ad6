"""From the attempts of one gymnast at one camp on one rung to one word, with its grounds."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from datetime import datetime
from enum import Enum
from uuid import UUID

from loftbook.book.attempts import Attempt
from loftbook.errors import AmbiguousThing, UnknownThing
from loftbook.ladder.rungs import Ladder, Rung, Standard
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
    def is_away(self) -> bool:
        """True where nothing says that she was at the camp: absent, or nothing written."""
        return self in (State.ABSENT, State.NO_RECORD)

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


def met_words(standard: Standard) -> str:
    """How a rung is done when its standard is met: "alone", or as it asks in the belt or by hand.

    >>> met_words(Standard(Help.NOBODY_IN, (), (), (), "")), met_words(Standard(Help.BELT_SLACK, (), (), (), ""))
    ('alone', 'as it asks (belt, slack, or less help)')
    """
    if standard.help is Help.NOBODY_IN:
        return "alone"
    return f"as it asks ({standard.help.words}, or less help)"


def met_by_all(words: Iterable[str]) -> str:
    """The `met_words` of several rungs in one: "alone", "as the rung asks", or both.

    >>> met_by_all(["alone", "alone"]), met_by_all(["alone", "as it asks (belt, slack, or less help)"])
    ('alone', 'alone, or as the rung asks')
    """
    alone, told = State.ALONE.words, set(words)
    if told <= {alone}:
        return alone
    return f"{alone}, or as the rung asks" if alone in told else "as the rung asks"


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

    @property
    def words(self) -> str:
        """Her state in words; "alone" only where nobody was in, else with which help it was as the rung asks.

        >>> from uuid import UUID
        >>> Standing(UUID(int=0), UUID(int=0), "belt", State.ALONE, help=Help.BELT_SLACK).words
        'as it asks (belt, slack)'
        """
        if self.state is State.ALONE and self.help not in (None, Help.NOBODY_IN):
            return f"as it asks ({self.help.words})"
        return self.state.words


def meets_standard(attempt: Attempt, rung: Rung) -> tuple[bool, str]:
    """Whether one attempt meets the rung's camp standard, and if not, why.

    What was not written down (help, surface) does not meet it: nothing is assumed.
    The first thing that is missing is named: outcome, help, take-off, landing.
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
    "last" (only that turn counts). A blank never hides a turn that was taken; a turn
    that did not succeed and after which she stopped says so ("short, then stopped").
    Of several blanks the last one written stands.

    Raises `UnknownThing` without an attempt or with another `counting`, and
    `AmbiguousThing` where the attempts are of more than one gymnast, camp or rung.
    """
    rows = sorted(attempts, key=lambda a: (a.at, a.id))
    _must_be_one(rows)
    taken = [a for a in rows if not a.outcome.is_blank]
    counted = _counted(taken, counting)
    verdicts = [(a, *meets_standard(a, rung)) for a in counted]
    good = [a for a, met, _ in verdicts if met]
    helped = [(a, why) for a, met, why in verdicts if not met and a.outcome is Outcome.DID_IT]
    best, state, why = _best(rows, counted, good, helped)
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


def _must_be_one(rows: list[Attempt]) -> None:
    if not rows:
        raise UnknownThing("no attempt", "at least one", "leave out the rungs on which nothing was written")
    if len({(a.athlete, a.camp, a.rung) for a in rows}) > 1:
        raise AmbiguousThing(
            "attempts of more than one gymnast, camp or rung",
            "those of one gymnast at one camp on one rung",
            "group the attempts first",
        )


def _counted(taken: list[Attempt], counting: str) -> list[Attempt]:
    ways = {"any": taken, "first": taken[:1], "last": taken[-1:]}
    if counting not in ways:
        raise UnknownThing(
            f"a way of counting called {counting!r}", "any, first or last", "correct the ladder's policy"
        )
    return ways[counting]


def _best(
    rows: list[Attempt], counted: list[Attempt], good: list[Attempt], helped: list[tuple[Attempt, str]]
) -> tuple[Attempt, State, str]:
    if good:
        return good[0], State.ALONE, ""
    if helped:
        attempt, why = max(helped, key=lambda pair: (pair[0].help or 0, pair[0].at))
        return attempt, State.HELPED, why
    if counted:
        return counted[-1], State.TRIED, _how_it_went(counted[-1], rows[-1])
    return rows[-1], State(rows[-1].outcome.value), rows[-1].outcome.words


def _how_it_went(turn: Attempt, last: Attempt) -> str:
    words = [turn.rotation.value] if turn.rotation else []
    if last.outcome in (Outcome.STOPPED, Outcome.DECLINED, Outcome.NOT_ALLOWED):
        words.append(f"then {last.outcome.words}")
    return ", ".join(words)


def camp_standings(attempts: Iterable[Attempt], ladder: Ladder) -> tuple[Standing, ...]:
    """The standings that attempts in force give: one for each child, camp and rung.

    Absence is said once for a day: a child of whom nothing but "absent" is written at
    that camp is absent on each test rung that has no record. An
    attempt on a rung that the ladder no longer has stays a fact and gives no standing.
    """
    groups: dict[tuple[UUID, UUID], dict[str, list[Attempt]]] = {}
    for row in attempts:
        groups.setdefault((row.camp, row.athlete), {}).setdefault(row.rung, []).append(row)
    known = {rung.key: rung for rung in ladder.rungs}
    made: list[Standing] = []
    for by_rung in groups.values():
        mine = [
            standing_of(rows, known[key], counting=ladder.policy.counting)
            for key, rows in by_rung.items()
            if key in known
        ]
        made += mine + _absent_elsewhere(mine, ladder)
    return tuple(made)


def _absent_elsewhere(mine: list[Standing], ladder: Ladder) -> list[Standing]:
    if not mine or any(s.state is not State.ABSENT for s in mine):
        return []
    written = {s.rung for s in mine}
    return [replace(mine[0], rung=rung.key) for rung in ladder.test_rungs if rung.key not in written]
