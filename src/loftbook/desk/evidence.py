"""The evidence for a rung, laid out from the book, and the decision of a named person as a fact."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from uuid import UUID

from loftbook.book.consent import Purpose
from loftbook.book.deciding import Decided, Decision, checked, standing_decisions
from loftbook.book.people import Athlete
from loftbook.desk import Desk
from loftbook.desk.answers import athlete_answer
from loftbook.desk.entry import new_id
from loftbook.desk.film.consenting import words_on_filming
from loftbook.desk.home_answers import answers_about
from loftbook.desk.lab.films import measured_flights
from loftbook.desk.standing import each_once
from loftbook.errors import Refused, UnknownThing
from loftbook.insight.evidence import evidence
from loftbook.insight.evidence_known import Known
from loftbook.insight.standing import State
from loftbook.ladder.rungs import Ladder, Rung
from loftbook.reports.page import Page
from loftbook.reports.pdf import write_pdf
from loftbook.reports.sheets.evidence.compose import EvidenceFacts, compose
from loftbook.store import attempts, camps, decisions, people
from loftbook.store.database import Connection


@dataclass(frozen=True)
class Deciding:
    """A decision as a person gives it; `on` None: today. `replaces` names one that it corrects."""

    decided: str
    by: str
    qualified: str
    reason: str
    review: date
    on: date | None = None
    replaces: UUID | None = None


@dataclass(frozen=True)
class EvidenceAnswer:
    """The page of one rung: what is laid out, which rungs can be asked for, and the page itself."""

    facts: EvidenceFacts
    rungs: tuple[Rung, ...]
    page: Page
    invented: bool


def evidence_answer(desk: Desk, athlete_id: UUID, rung: str = "") -> EvidenceAnswer:
    """The evidence for one rung, for the next of hers where none is named.

    Raises UnknownThing for nobody, and for a rung that the ladder does not have.
    """
    answer = athlete_answer(desk, athlete_id)
    with desk.store.read() as connection:
        who = people.athlete(connection, athlete_id)
        known = Known(
            athlete=who,
            ladder=desk.ladder,
            camps={one.id: one for one in camps.camps_of(connection, [athlete_id])[athlete_id]},
            turns=each_once(connection, attempts.attempts_of_athlete(connection, athlete_id)),
            changes=answer.changes,
            films=measured_flights(desk, connection, [who]).get(athlete_id, ()),
            may_be_filmed=_may_be_filmed(desk, connection, who),
            decisions=decisions.decisions_of(connection, [athlete_id]),
            today=desk.clock().date(),
            trained=[one.answer for one in answers_about(connection, [athlete_id]).get(athlete_id, ())],
        )
    alone = {
        key for column in answer.columns for key, one in column.standings.items() if one.state is State.ALONE
    }
    asked = rung or _next(desk.ladder, alone)
    facts = EvidenceFacts(who, desk.ladder, known.camps, evidence(known, asked))
    return EvidenceAnswer(facts, desk.ladder.rungs, compose(facts), who.invented)


def evidence_pdf(desk: Desk, athlete_id: UUID, rung: str = "", *, paper: str = "a4") -> bytes:
    """The same page as PDF."""
    page = evidence_answer(desk, athlete_id, rung).page
    return write_pdf(page, paper, made=desk.clock().replace(microsecond=0))


def decide(desk: Desk, athlete_id: UUID, rung: str, given: Deciding) -> Decision:
    """Writes down what a qualified person decided; nothing is overwritten.

    Raises Refused where something is missing of what a decision must say, and
    UnknownThing where the child, the rung or the decision to be corrected is not there.
    """
    today = desk.clock().date()
    new = Decision(
        id=new_id(desk),
        athlete=athlete_id,
        rung=desk.ladder.rung(rung).key,
        decided=_decided(given.decided),
        on=given.on or today,
        review=given.review,
        by=given.by.strip(),
        qualified=given.qualified.strip(),
        reason=given.reason.strip(),
        edition=desk.ladder.lists_edition,
        at=desk.clock(),
        replaces=given.replaces,
    )
    checked(new, today)
    with desk.store.write() as connection:
        _was_born(people.athlete(connection, athlete_id), new.on)
        hers = decisions.decisions_of(connection, [athlete_id])
        _must_stand(new, hers)
        decisions.add_decisions(connection, [new])
    return new


def _was_born(who: Athlete, on: date) -> None:
    if who.born is not None and on < who.born:
        raise Refused(f"a decision of {on}, before she was born", "a later day", "check the year")


def _must_stand(new: Decision, hers: tuple[Decision, ...]) -> None:
    """The decision to be corrected is one about this rung that nothing has replaced."""
    if new.replaces is None:
        return
    standing = {one.id for one in standing_decisions(one for one in hers if one.rung == new.rung)}
    if new.replaces not in standing:
        raise UnknownThing(
            f"no decision {new.replaces} about this rung that stands",
            "the id of one that does",
            "read the evidence again and name the decision that it shows",
        )


def _decided(word: str) -> Decided:
    try:
        return Decided(word.strip().lower().replace("-", "_").replace(" ", "_"))
    except ValueError:
        known = ", ".join(one.value for one in Decided)
        raise Refused(f"a decision {word!r}", f"one of {known}", "choose one of these") from None


def _next(ladder: Ladder, alone: set[str]) -> str:
    """The first test rung that she has not met, else the first rung after it that a met one leads to."""
    for rung in ladder.test_rungs:
        if rung.key not in alone:
            return rung.key
    beyond = (one for one in ladder.rungs if one.key not in alone and set(one.prerequisites) & alone)
    return next(beyond, ladder.rungs[-1]).key


def _may_be_filmed(desk: Desk, connection: Connection, who: Athlete) -> bool:
    word = words_on_filming(connection, who, desk.clock().date())[Purpose.FILMING]
    return word is not None and word.allowed
