"""What the camp's own papers tell: the belt list by name, the programme summary in counts."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date
from uuid import UUID

from loftbook.book.attempts import Attempt
from loftbook.book.deciding import Decision, standing_decisions
from loftbook.book.people import Athlete, Camp
from loftbook.desk import Desk
from loftbook.desk.answers import agreement_answer, camp_answer
from loftbook.desk.standing import each_once, up_to_date
from loftbook.insight.evidence import Seen, seen_of
from loftbook.insight.evidence_missing import STALE
from loftbook.insight.standing import Standing, State
from loftbook.insight.twistside import twist_sides
from loftbook.ladder.rungs import Ladder
from loftbook.ladder.scales import Help
from loftbook.reports.sheets.belt.compose import BeltFacts
from loftbook.reports.sheets.programme.compose import CampCounts, Coverage, ProgrammeFacts
from loftbook.store import attempts, camps, decisions, people, standings
from loftbook.store.database import Connection


def belt_facts(desk: Desk, camp_id: UUID) -> BeltFacts:
    """Everybody at a camp with her twist side, her turns in a belt and what was decided about one."""
    rungs = {one.key for one in desk.ladder.rungs if one.belt}
    with desk.store.read() as connection:
        camp = camps.camp(connection, camp_id)
        bibs = camps.expected(connection, camp_id)
        here = {*bibs, *(a.athlete for a in attempts.attempts_of_camp(connection, camp_id))}
        athletes = people.athletes(connection, here)
        said = decisions.decisions_of(connection, here)
        turns = {one: each_once(connection, attempts.attempts_of_athlete(connection, one)) for one in here}
    return BeltFacts(
        camp=camp,
        ladder=desk.ladder,
        athletes=athletes,
        bibs=bibs,
        twist={one.id: twist_sides(one, desk.ladder) for one in athletes},
        belt={one: _in_belt(turns[one], rungs, desk.ladder) for one in here},
        decisions={one: _about_belt(said, one, rungs) for one in here},
        printed=desk.clock().date(),
    )


def _in_belt(turns: Iterable[Attempt], rungs: set[str], ladder: Ladder) -> tuple[Seen, ...]:
    """Turns on a rung of the belt, or on another with her in one; the latest first."""
    known = {one.key for one in ladder.rungs}
    hers = [
        one
        for one in turns
        if one.rung in known
        and not one.outcome.is_blank
        and (one.rung in rungs or (one.help is not None and one.help <= Help.BELT_SLACK))
    ]
    return tuple(sorted(seen_of(hers, ladder), key=lambda one: one.last, reverse=True))


def _about_belt(said: Iterable[Decision], who: UUID, rungs: set[str]) -> tuple[Decision, ...]:
    return standing_decisions(one for one in said if one.athlete == who and one.rung in rungs)


def programme_facts(desk: Desk, camp_id: UUID) -> ProgrammeFacts:
    """The camps up to this one in counts, how this one was covered, and how alike people mark."""
    answer, alike = camp_answer(desk, camp_id, since_first=False), agreement_answer(desk, camp_id)
    with up_to_date(desk) as connection:
        until = [one for one in camps.camps(connection) if one.place_in_time <= answer.camp.place_in_time]
        counts = tuple(_counts(connection, one, desk.ladder) for one in until)
        turns = each_once(connection, attempts.attempts_of_camp(connection, camp_id))
    came = {one.athlete for one in answer.standings if not one.state.is_away}
    return ProgrammeFacts(
        ladder=desk.ladder,
        camps=counts,
        expected=answer.expected,
        coverage=_coverage(turns, [answer.athletes[one] for one in came], answer.camp.ends),
        marked_twice=alike.ever.turns,
        agreement=alike.ever.criteria,
        least=alike.ever.least,
        printed=desk.clock().date(),
    )


def _counts(connection: Connection, camp: Camp, ladder: Ladder) -> CampCounts:
    here = standings.standings_of_camp(connection, camp.id)
    written, came = {one.athlete for one in here}, {one.athlete for one in here if not one.state.is_away}
    absent = {one.athlete for one in here if one.state is State.ABSENT} - came
    return CampCounts(
        camp=camp,
        listed=len(written | camps.expected(connection, camp.id).keys()),
        came=len(came),
        absent=len(absent),
        rungs={rung.key: _met_of_shown(here, rung.key) for rung in ladder.test_rungs},
    )


def _met_of_shown(here: Iterable[Standing], rung: str) -> tuple[int, int]:
    shown = [one for one in here if one.rung == rung and not one.state.is_blank]
    return sum(one.state is State.ALONE for one in shown), len(shown)


def _coverage(turns: Iterable[Attempt], came: Iterable[Athlete], day: date) -> Coverage:
    taken, people = [one for one in turns if not one.outcome.is_blank], list(came)
    return Coverage(
        turns=len(taken),
        marked=sum(bool(one.marks) for one in taken),
        rotation=sum(one.rotation is not None for one in taken),
        surface=sum(None not in (one.help, one.take_off, one.landing) for one in taken),
        height=sum(_measured(one, day) for one in people),
        twist=sum(bool(one.twists) for one in people),
        film=sum(one.may_be_filmed for one in people),
    )


def _measured(who: Athlete, day: date) -> bool:
    return any(one.on is not None and 0 <= (day - one.on).days <= STALE for one in who.heights)
