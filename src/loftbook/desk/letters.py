"""What the letters about one camp tell, for one child or for all, read from the book at once."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace
from typing import TypeVar
from uuid import UUID

from loftbook.book.answering import HomeAnswer, standing_answers
from loftbook.book.attempts import Attempt
from loftbook.book.consent import before_it_goes
from loftbook.book.people import Athlete, Camp
from loftbook.desk import Desk
from loftbook.desk.editions import editions
from loftbook.desk.lab.films import may_be_seen, measured_flights
from loftbook.desk.lab.next_steps import steps_of
from loftbook.desk.privacy.consenting import said_no, words_on_writing
from loftbook.desk.standing import each_once, up_to_date
from loftbook.desk.strips import filmed_strips, lab_strip
from loftbook.errors import UnknownThing
from loftbook.insight.change import Change, changes
from loftbook.insight.change_kind import camp_words
from loftbook.insight.history import History, history_of
from loftbook.insight.measured import Measured
from loftbook.insight.priorities import priorities
from loftbook.insight.standing import State
from loftbook.reports.charts.history import CampResults
from loftbook.reports.sheets.letter.compose import LetterFacts, LetterStrip, NextCamp
from loftbook.store import attempts, camps, home_answers, people, standings
from loftbook.store.database import Connection

_Hers = TypeVar("_Hers", Attempt, Change)


def letter_of_one(desk: Desk, athlete_id: UUID, camp_id: UUID | None = None) -> LetterFacts:
    """What the letter about one child tells, of the last camp on whose list she stands or of another.

    Raises UnknownThing where she stands on the list of no camp, or not of this one.
    """
    with up_to_date(desk) as connection:
        who = people.athlete(connection, athlete_id)
        hers = camps.camps_of(connection, [athlete_id])[athlete_id]
        camp = next((c for c in reversed(hers) if camp_id in (None, c.id)), None)
        if camp is not None:
            return _facts(desk, connection, camp, [athlete_id])[0]
    raise UnknownThing(
        f"nothing written about {who.name.full} at that camp",
        "at least one result",
        "write her results first, or choose a camp she came to",
    )


def letters_of_camp(desk: Desk, camp_id: UUID) -> tuple[LetterFacts, ...]:
    """What the letters about a camp tell: of each child of whom more than absence was written."""
    with up_to_date(desk) as connection:
        camp = camps.camp(connection, camp_id)
        here = standings.standings_of_camp(connection, camp_id)
        ids = {one.athlete for one in here if one.state is not State.ABSENT}
        return _facts(desk, connection, camp, tuple(ids))


def whose_letters(desk: Desk, camp_id: UUID) -> tuple[Camp, tuple[Athlete, ...]]:
    """A camp, and in running order those of whom its letters tell."""
    with up_to_date(desk) as connection:
        here = standings.standings_of_camp(connection, camp_id)
        ids = {one.athlete for one in here if one.state is not State.ABSENT}
        return camps.camp(connection, camp_id), people.athletes(connection, ids)


def _facts(desk: Desk, connection: Connection, camp: Camp, ids: Sequence[UUID]) -> tuple[LetterFacts, ...]:
    athletes = people.athletes(connection, ids)
    hers = camps.camps_of(connection, ids)
    every = {one.id: one for seen in hers.values() for one in seen}
    history = history_of(every.values(), standings.standings_of_athletes(connection, ids))
    known = editions(connection, desk)
    found = (
        changes(camp, desk.ladder, athletes=athletes, history=history, editions=known) if athletes else None
    )
    changed = _by_athlete(found.since_previous if found else ())
    films = measured_flights(desk, connection, athletes)
    written_down = attempts.attempts_of_camp(connection, camp.id, ids)
    turns = _by_athlete(each_once(connection, written_down))
    coming = _next_camp(desk, connection, camp)
    told = home_answers.answers_of(connection, ids)
    strips = _filmed(desk, connection, athletes, _by_athlete(written_down))
    words = words_on_writing(connection, athletes, desk.clock().date())
    written = (
        _letter(
            desk,
            athlete,
            _results(history, athlete, hers[athlete.id], camp),
            turns=turns.get(athlete.id, ()),
            changed=changed.get(athlete.id, ()),
            films=[one for one in films.get(athlete.id, ()) if one.on is None or one.on <= camp.ends],
        )
        for athlete in athletes
    )
    return tuple(
        replace(
            one,
            next_camp=coming,
            trained=_trained(one, told),
            strip=strips.get(one.athlete.id) or _drawn(one),
            before_it_goes=before_it_goes(words[one.athlete.id]),
            refused=said_no(words[one.athlete.id]),
        )
        for one in written
    )


def _filmed(
    desk: Desk, connection: Connection, who: Iterable[Athlete], turns: Mapping[UUID, Sequence[Attempt]]
) -> Mapping[UUID, LetterStrip]:
    """The strips of those turns of a camp that were filmed, of whoever may be seen.

    `turns` holds every mark: a film may have been put with the second mark of a turn.
    """
    shown = [one.id for one in who if may_be_seen(desk, connection, one)]
    known = [turn for one in shown for turn in turns.get(one, ())]
    told = {turn.id: (turn.rung, turn.athlete) for turn in known}
    earlier = {turn.replaces: (turn.rung, turn.athlete) for turn in known if turn.replaces}
    return filmed_strips(desk, connection, earlier | told)


def _drawn(facts: LetterFacts) -> LetterStrip | None:
    """The lab's drawing of what she works on, where something is set."""
    if not facts.priorities.items:
        return None
    return lab_strip([*(one.rung for one in facts.priorities.items), *(one.rung for one in facts.steps)])


def _trained(facts: LetterFacts, answers: Iterable[HomeAnswer]) -> HomeAnswer | None:
    """What was answered to the letter of her camp before this one."""
    if len(facts.results) < 2:
        return None
    where = (facts.athlete.id, facts.results[-2].camp.id)
    return next((one for one in standing_answers(answers) if (one.athlete, one.camp) == where), None)


def _letter(
    desk: Desk,
    athlete: Athlete,
    results: tuple[CampResults, ...],
    *,
    turns: Sequence[Attempt],
    changed: Sequence[Change],
    films: Sequence[Measured],
) -> LetterFacts:
    told = priorities(desk.ladder, results[-1].standings, turns, had=_had(results[:-1]))
    hers = [one for result in results for one in result.standings]
    return LetterFacts(
        athlete=athlete,
        ladder=desk.ladder,
        results=results,
        attempts=tuple(turns),
        changes=tuple(changed),
        priorities=told,
        steps=steps_of(desk, athlete, hers, films).steps if told.items else (),
        written=desk.clock().date(),
        sender=", ".join(results[-1].camp.raters),
    )


def _next_camp(desk: Desk, connection: Connection, camp: Camp) -> NextCamp | None:
    """The first camp of the book after this one that has not begun yet."""
    after = max(camp.ends, desk.clock().date())
    later = (one for one in camps.camps(connection) if one.starts > after)
    found = next(iter(sorted(later, key=lambda one: one.place_in_time)), None)
    if found is None:
        return None
    return NextCamp(found.starts, found.ends, f"{found.place}." if found.place else "")


def _results(history: History, athlete: Athlete, hers: Sequence[Camp], camp: Camp) -> tuple[CampResults, ...]:
    """Her camps up to this one, oldest first."""
    upto = hers[: hers.index(camp) + 1]
    return tuple(CampResults(one, tuple(history.at(athlete.id, one.id).values())) for one in upto)


def _had(earlier: Iterable[CampResults]) -> dict[str, str]:
    """On which rungs she met the standard before this camp, and at which camp the last time."""
    return {
        one.rung: camp_words(result.camp)
        for result in earlier
        for one in result.standings
        if one.state is State.ALONE
    }


def _by_athlete(rows: Iterable[_Hers]) -> dict[UUID, list[_Hers]]:
    groups: dict[UUID, list[_Hers]] = {}
    for row in rows:
        groups.setdefault(row.athlete, []).append(row)
    return groups
