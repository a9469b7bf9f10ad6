"""One gymnast: her rungs over the camps, the attempts behind them, her heights."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from uuid import UUID

from loftbook.book.attempts import Attempt
from loftbook.book.people import Athlete, Camp
from loftbook.desk import Desk
from loftbook.desk.answers.agreement import mark_errors
from loftbook.desk.editions import editions
from loftbook.desk.missing import missing_about
from loftbook.desk.opening import difficulty_beside
from loftbook.desk.standing import each_once, up_to_date
from loftbook.insight.agreement.error import MarkErrors
from loftbook.insight.change import Change, changes
from loftbook.insight.change_marks import MarkMove, mark_moves
from loftbook.insight.families import NeverShown, never_shown
from loftbook.insight.first_ever import FirstTime, first_ever
from loftbook.insight.history import history_of
from loftbook.insight.standing import Standing, State
from loftbook.insight.twistside import TwistSides, twist_sides
from loftbook.ladder.difficulty import ShownDifficulty
from loftbook.ladder.rungs import Rung
from loftbook.store import attempts, camps, people, standings


@dataclass(frozen=True)
class CampColumn:
    """One camp of hers: where she stood, and the turns behind it by rung.

    `replaced` holds the turns that were corrected or withdrawn; they stay readable.
    """

    camp: Camp
    standings: Mapping[str, Standing]
    attempts: Mapping[str, tuple[Attempt, ...]]
    replaced: Mapping[str, tuple[Attempt, ...]]


@dataclass(frozen=True)
class CampMarks:
    """Her marks on one rung at the latest camp, against those of an earlier one."""

    rung: str
    against: Camp
    moves: tuple[MarkMove, ...]


@dataclass(frozen=True)
class AthleteAnswer:
    """An athlete's page."""

    athlete: Athlete
    age: float | None
    columns: tuple[CampColumn, ...]  # oldest first
    rungs: tuple[Rung, ...]
    changes: tuple[Change, ...]  # at the latest of these camps
    since_first: tuple[Change, ...]
    marks: tuple[CampMarks, ...]  # of the latest camp, against the last one with marks on the same rung
    first_ever: Mapping[str, FirstTime]
    twist: TwistSides
    never_shown: tuple[NeverShown, ...]
    missing: tuple[str, ...]
    invented: bool
    difficulty: Mapping[str, ShownDifficulty]  # of the rungs she has done alone; empty unless switched on


def athlete_answer(desk: Desk, athlete_id: UUID, *, until: UUID | None = None) -> AthleteAnswer:
    """Everything the book says of one gymnast; with `until` only up to that camp of hers."""
    with up_to_date(desk) as connection:
        athlete = people.athlete(connection, athlete_id)
        counted = attempts.attempts_of_athlete(connection, athlete_id)
        ever = attempts.attempts_of_athlete(connection, athlete_id, all=True)
        hers = standings.standings_of_athletes(connection, [athlete_id])
        seen_at = camps.camps_of(connection, [athlete_id])[athlete_id]
        known = editions(connection, desk)
        errors = mark_errors(desk, connection)
        once = each_once(connection, counted)
    if until is not None:
        place = next((n for n, camp in enumerate(seen_at, 1) if camp.id == until), 0)
        seen_at = seen_at[:place]
        kept = {camp.id for camp in seen_at}
        hers = tuple(s for s in hers if s.camp in kept)
    columns = tuple(_column(camp, hers, counted, ever) for camp in seen_at)
    today = desk.clock().date()
    history = history_of(seen_at, hers)
    found = (
        changes(seen_at[-1], desk.ladder, athletes=(athlete,), history=history, editions=known)
        if seen_at
        else None
    )
    shown = {s.rung for s in hers}
    return AthleteAnswer(
        athlete=athlete,
        age=athlete.age_on(today),
        columns=columns,
        rungs=tuple(r for r in desk.ladder.rungs if r.tested or r.key in shown),
        changes=found.since_previous if found else (),
        since_first=found.since_first if found else (),
        marks=_marks(desk, seen_at, once, errors),
        first_ever=first_ever(history).get(athlete_id, {}),
        twist=twist_sides(athlete, desk.ladder),
        never_shown=never_shown((athlete,), desk.ladder, history=history, on=today),
        missing=missing_about(athlete),
        invented=athlete.invented,
        difficulty=_difficulty(desk, hers),
    )


def _difficulty(desk: Desk, hers: Iterable[Standing]) -> dict[str, ShownDifficulty]:
    alone = {s.rung for s in hers if s.state is State.ALONE}
    return {rung: value for rung, value in difficulty_beside(desk.ladder).items() if rung in alone}


def _marks(
    desk: Desk, seen_at: Sequence[Camp], turns: Iterable[Attempt], errors: MarkErrors
) -> tuple[CampMarks, ...]:
    marked: dict[str, dict[UUID, list[Attempt]]] = {}
    for turn in turns:
        if turn.marks:
            marked.setdefault(turn.rung, {}).setdefault(turn.camp, []).append(turn)
    found = []
    for rung in desk.ladder.rungs:
        of_rung = marked.get(rung.key, {})
        places = [camp for camp in seen_at if camp.id in of_rung]
        if len(places) > 1 and places[-1] is seen_at[-1]:
            then, now = of_rung[places[-2].id], of_rung[places[-1].id]
            moves = mark_moves(then, now, desk.ladder, errors=errors)
            found += [CampMarks(rung.key, places[-2], moves)] if moves else []
    return tuple(found)


def _column(
    camp: Camp, hers: Iterable[Standing], counted: Iterable[Attempt], ever: Iterable[Attempt]
) -> CampColumn:
    here = [a for a in counted if a.camp == camp.id]
    kept = {a.id for a in here}
    gone = [a for a in ever if a.camp == camp.id and a.id not in kept]
    return CampColumn(
        camp=camp,
        standings={s.rung: s for s in hers if s.camp == camp.id},
        attempts=_by_rung(here),
        replaced=_by_rung(gone),
    )


def _by_rung(rows: Iterable[Attempt]) -> dict[str, tuple[Attempt, ...]]:
    groups: dict[str, list[Attempt]] = {}
    for row in rows:
        groups.setdefault(row.rung, []).append(row)
    return {rung: tuple(group) for rung, group in groups.items()}
