"""What to work on at home until the next camp: at most three things, each with its reason.

A proposal for a person to decide on, chosen in this order:

1. what is a question of safety: turns that came round short, and rotation or landing
   at the lowest level;
2. the lowest marks of the other criteria, level 1 before level 2; the highest level is none;
3. what leads to the first test rung that she did not do alone and was shown but not
   alone, then that rung itself; with all of them done, the first after them that a shown
   one leads to. These are drills towards it, never leave to begin it.

Ties go by the order of the ladder. Each criterion is named once, on its lowest rung,
with the others in the reason. What she declined or stopped is left out and said so:
nothing is set on it, and nothing beyond it. Where she was not allowed something at this
camp nothing is set at all: which drill spares what is hurt, no ladder knows.
The order is our own reasoning; no source.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from enum import Enum

from loftbook.book.attempts import Attempt
from loftbook.insight.inventory import told_words
from loftbook.insight.standing import Standing, State
from loftbook.ladder.drills import drills_for
from loftbook.ladder.graph import before
from loftbook.ladder.rungs import Drill, Ladder, Rung
from loftbook.ladder.scales import Outcome, Rotation

_SAFETY = ("rotation", "landing")  # keys of criteria, where the ladder has them
_DRILLS = (2, 1, 1)  # for the first, second and third; common practice, no source
_NOT_ALLOWED = (
    "She was not allowed some skills at this camp, so no drill is set here. "
    "What she may train, and from when, the person who decides says first."
)
_SET_ASIDE = (State.STOPPED, State.DECLINED, State.NOT_ALLOWED)


class PriorityKind(Enum):
    """Why something was chosen: for safety, for its mark, or on the way to a rung not done alone."""

    SAFETY = "safety"
    MARK = "mark"
    NEXT_RUNG = "next rung"


@dataclass(frozen=True)
class Priority:
    """One thing to work on: on which rung, what of it, why, and with which drills."""

    kind: PriorityKind
    rung: str
    criterion: str | None
    title: str
    reason: str
    drills: tuple[Drill, ...] = ()


@dataclass(frozen=True)
class Priorities:
    """At most three things, the first first; from what they were chosen; what was left out and why."""

    items: tuple[Priority, ...]
    basis: str
    set_aside: tuple[str, ...] = ()


def priorities(
    ladder: Ladder,
    standings: Sequence[Standing],
    attempts: Sequence[Attempt],
    *,
    had: Mapping[str, str] | None = None,
    most: int = 3,
) -> Priorities:
    """What to work on until the next camp, from what one gymnast showed at this one.

    `standings` and `attempts` (in force) are hers at this camp; `had` names, for each rung
    that she met at a camp before this one, the last such camp ("Spring camp 2025").
    Rungs and criteria that the ladder no longer has are passed over.

    >>> from loftbook.ladder.shipped import shipped_ladder
    >>> priorities(shipped_ladder(), [], []).basis
    'Nothing was shown at this camp, so nothing is set.'
    """
    known = {rung.key for rung in ladder.rungs}
    hers = {one.rung: one for one in standings if one.rung in known and one.state is not State.NO_RECORD}
    turns = [a for a in attempts if a.rung in known and not a.outcome.is_blank]
    set_aside = tuple(_set_aside(ladder, hers))
    if _not_allowed(standings, attempts):
        return Priorities((), _NOT_ALLOWED, set_aside)
    if not turns and all(one.state.is_blank for one in hers.values()):
        return Priorities((), "Nothing was shown at this camp, so nothing is set.", set_aside)
    open_rungs = {key for key, one in hers.items() if one.state in _SET_ASIDE}
    worked_on = [a for a in turns if a.rung not in open_rungs]
    found = [*_safety(ladder, worked_on), *_marks(ladder, worked_on)]
    found += _towards_next(ladder, hers, had or {}, covered={one.rung for one in found})
    return Priorities(_with_drills(ladder, found[:most]), _basis(turns), set_aside)


def _not_allowed(standings: Sequence[Standing], attempts: Sequence[Attempt]) -> bool:
    """Whether anything was not allowed, on any rung, also after a turn that she took."""
    told = any(one.state is State.NOT_ALLOWED for one in standings)
    return told or any(one.outcome is Outcome.NOT_ALLOWED for one in attempts)


def _set_aside(ladder: Ladder, hers: dict[str, Standing]) -> Iterable[str]:
    for rung in ladder.rungs:
        one = hers.get(rung.key)
        if one is not None and one.state in _SET_ASIDE:
            yield f"{rung.short}: {one.state.words}. Nothing is set on it; that is no failure."


def _basis(turns: Sequence[Attempt]) -> str:
    marks = sum(len(a.marks) for a in turns)
    rungs = len({a.rung for a in turns if a.marks})
    if marks:
        return f"Chosen from {_counted(marks, 'mark')} on {_counted(rungs, 'rung')} and from the results."
    told = any(a.rotation for a in turns)
    more = " and from how the turns came round" if told else ""
    return f"No marks were written at this camp: this comes from the results{more} only."


def _safety(ladder: Ladder, turns: Sequence[Attempt]) -> list[Priority]:
    """Short turns and the lowest level of rotation are one thing; the lowest level of landing another."""
    found = []
    short = [_short(rung, turns) for rung in ladder.rungs]
    for key in _SAFETY:
        marked = [_marked(rung, turns, key, 1) for rung in ladder.rungs]
        told = [f"{_share(n, of, 'turn')} came round short" for n, of in short] if key == "rotation" else []
        rows = []
        for place, rung in enumerate(ladder.rungs):
            reasons = [told[place]] if told and short[place][0] else []
            reasons += [marked[place]] if marked[place] else []
            if reasons:
                rows.append((rung, "; ".join(reasons)))
        found += _one(ladder, (key, 1), rows, PriorityKind.SAFETY)
    return found


def _short(rung: Rung, turns: Sequence[Attempt]) -> tuple[int, int]:
    hers = [a for a in turns if a.rung == rung.key]
    return sum(a.rotation is Rotation.SHORT for a in hers), len(hers)


def _marked(rung: Rung, turns: Sequence[Attempt], criterion: str, level: int) -> str:
    """How many of the marked turns stand at this level of three, in words; empty for none."""
    marks = [a.marks[criterion] for a in turns if a.rung == rung.key and criterion in a.marks]
    count = marks.count(level)
    place = "first" if level == 1 else "second"  # read by parents too: a step on the way, and no verdict
    return f"{_share(count, len(marks), 'marked turn')} at the {place} of three levels" if count else ""


def _marks(ladder: Ladder, turns: Sequence[Attempt]) -> list[Priority]:
    """The other criteria by their lowest mark; and at the middle level also rotation and landing."""
    found: list[tuple[int, Priority]] = []
    for criterion in ladder.criteria:
        levels = [a.marks[criterion.key] for a in turns if criterion.key in a.marks]
        level = min(levels, default=3)
        if level >= 3 or (level == 1 and criterion.key in _SAFETY):
            continue
        rows = [
            (rung, count) for rung in ladder.rungs if (count := _marked(rung, turns, criterion.key, level))
        ]
        found += [(level, one) for one in _one(ladder, (criterion.key, level), rows, PriorityKind.MARK)]
    order = {rung.key: place for place, rung in enumerate(ladder.rungs)}
    return [one for _, one in sorted(found, key=lambda pair: (pair[0], order[pair[1].rung]))]


def _one(
    ladder: Ladder, at: tuple[str, int], rows: Sequence[tuple[Rung, str]], kind: PriorityKind
) -> list[Priority]:
    """One priority for a criterion at a level: on the lowest rung, with the reasons of all."""
    if not rows:
        return []
    key, level = at
    criterion = next((one for one in ladder.criteria if one.key == key), None)
    lowest = rows[0][0]
    name = criterion.name if criterion else key.capitalize()
    reason = ". ".join(f"{rung.short}: {why}" for rung, why in rows) + "."
    if criterion and any("level" in why for _, why in rows):
        reason += f" That level reads: {criterion.levels[level - 1].rstrip('.')}."
    return [
        Priority(kind, lowest.key, criterion.key if criterion else None, f"{name}: {lowest.short}", reason)
    ]


def _towards_next(
    ladder: Ladder, hers: dict[str, Standing], had: Mapping[str, str], covered: Collection[str]
) -> list[Priority]:
    """What leads to the next rung and is not alone now, lowest first; then drills towards that rung."""
    alone = {key for key, one in hers.items() if one.state is State.ALONE}
    wanted = _next_rung(ladder, hers, alone | set(had))
    if wanted is None:
        return []
    leading = before(ladder, wanted.key)
    open_now = [rung for rung in leading if rung.key in hers and _is_open(hers[rung.key])]
    steps = [
        Priority(
            PriorityKind.NEXT_RUNG,
            rung.key,
            None,
            f"{rung.short}, on the way to {wanted.short}",
            _history(hers[rung.key], had.get(rung.key)),
        )
        for rung in open_now
        if rung.key not in covered
    ]
    direct = [rung for rung in leading if rung.key in wanted.prerequisites]
    untested = [r.short for r in direct if not r.tested and r.key not in hers and r.key not in had]
    if wanted.key in covered:
        return steps
    shown = wanted.key in hers and not hers[wanted.key].state.is_blank
    title = wanted.short if shown or wanted.key in had else f"Towards {wanted.short}"
    reason = _history(hers.get(wanted.key), had.get(wanted.key))
    if untested:
        reason += f" What leads to it is not tested at these camps: {', '.join(untested)}."
    if not shown:
        reason += " Whether she works on it at all, and on what, the coach in the gym decides."
    return [*steps, Priority(PriorityKind.NEXT_RUNG, wanted.key, None, title, reason)]


def _history(standing: Standing | None, camp: str | None) -> str:
    """What she did on a rung now, after where she last had it: Had it at Spring camp 2025, with help now."""
    now = told_words(standing) if standing else "not shown"
    if camp is not None:
        return f"Had it at {camp}, {now} now."
    return f"{now[0].upper()}{now[1:]} at this camp."


def _next_rung(ladder: Ladder, hers: dict[str, Standing], shown: Collection[str]) -> Rung | None:
    def may_be_set(rung: Rung) -> bool:
        return rung.key not in hers or hers[rung.key].state not in _SET_ASIDE

    not_alone = [r for r in ladder.rungs if r.key not in hers or hers[r.key].state is not State.ALONE]
    tested = [rung for rung in not_alone if rung.tested]
    if tested:
        return tested[0] if may_be_set(tested[0]) else None
    last_test = max((place for place, rung in enumerate(ladder.rungs) if rung.tested), default=-1)
    beyond = [rung for rung in ladder.rungs[last_test + 1 :] if rung.key not in shown and may_be_set(rung)]
    return next((rung for rung in beyond if set(rung.prerequisites) & set(shown)), None)


def _is_open(standing: Standing) -> bool:
    return standing.state in (State.HELPED, State.TRIED)


def _with_drills(ladder: Ladder, found: Sequence[Priority]) -> tuple[Priority, ...]:
    """Each with its drills; a drill is given once, to the first that asks for it."""
    given: set[str] = set()
    complete = []
    for place, one in enumerate(found):
        wanted = drills_for(
            ladder, one.rung, (one.criterion,) if one.criterion else (), most=len(ladder.drills)
        )
        chosen = tuple(drill for drill in wanted if drill.key not in given)[
            : _DRILLS[min(place, len(_DRILLS) - 1)]
        ]
        given |= {drill.key for drill in chosen}
        complete.append(replace(one, drills=chosen))
    return tuple(complete)


def _share(number: int, of: int, thing: str) -> str:
    """How many of how many, in words that fit one as well."""
    return f"the only {thing}" if of == 1 else f"{number} of {of} {thing}s"


def _counted(number: int, thing: str) -> str:
    return f"{number} {thing}{'' if number == 1 else 's'}"
