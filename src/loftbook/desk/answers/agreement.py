"""How alike two people mark: at one camp, over all camps up to it, and one person over time."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from uuid import UUID

from loftbook.book.attempts import Attempt
from loftbook.book.people import Camp
from loftbook.book.turns import marked_together, remarkings
from loftbook.desk import Desk
from loftbook.desk.keeping import kept
from loftbook.insight.agreement.criteria import CriterionAgreement, agreement_of, least_words
from loftbook.insight.agreement.drift import Remarked, remarked
from loftbook.insight.agreement.drift import mark_errors as errors_of_marks
from loftbook.insight.agreement.error import MarkErrors
from loftbook.ladder.rungs import Ladder
from loftbook.store import attempts, camps
from loftbook.store.database import Connection


@dataclass(frozen=True)
class Together:
    """What the turns say that two people or more marked; `turns` and `children` count them."""

    turns: int
    children: int
    raters: tuple[str, ...]  # by name
    camps: int
    criteria: Mapping[str, CriterionAgreement]
    least: str  # which criterion agrees least, in a sentence


@dataclass(frozen=True)
class AgreementAnswer:
    """A camp's page of agreement; no child is named on it."""

    camp: Camp
    here: Together
    ever: Together  # at this camp and all before it
    alone: int  # second marks of this camp that belong to no pair
    unlike: int  # of the turns here: one wrote a turn down, the other a blank
    remarked: tuple[Remarked, ...]  # turns of this camp and those before, marked again later
    invented: bool


def agreement_answer(desk: Desk, camp_id: UUID) -> AgreementAnswer:
    """How alike two people marked at this camp, and over all camps up to it."""
    with desk.store.read() as connection:
        question = ("agreement", camp_id)
        return kept(desk, connection, question, lambda: _worked_out(desk, connection, camp_id))


def mark_errors(desk: Desk, connection: Connection) -> MarkErrors:
    """The error of a mark from every turn of the book that was marked twice."""
    return kept(desk, connection, ("mark errors",), lambda: _errors(desk.ladder, connection))


def _worked_out(desk: Desk, connection: Connection, camp_id: UUID) -> AgreementAnswer:
    every = {camp.id: camp for camp in camps.camps(connection)}
    camp = camps.camp(connection, camp_id)
    until = {one.id for one in every.values() if _place(one) <= _place(camp)}
    marks = [a for a in attempts.attempts_marked_again(connection) if a.camp in until]
    turns, again = marked_together(marks), remarkings(marks)
    here = [seen for seen in turns if seen[0].camp == camp_id]
    used = {a.id for seen in here for a in seen} | {pair.later.id for pair in again}
    return AgreementAnswer(
        camp=camp,
        here=_together(here, desk.ladder),
        ever=_together(turns, desk.ladder),
        alone=sum(a.second and a.camp == camp_id and a.id not in used for a in marks),
        unlike=sum(len({a.outcome.is_blank for a in seen}) > 1 for seen in here),
        remarked=remarked(again, desk.ladder),
        invented=camp.invented,
    )


def _place(camp: Camp) -> tuple[date, date, UUID]:
    return camp.starts, camp.ends, camp.id


def _together(turns: Collection[Sequence[Attempt]], ladder: Ladder) -> Together:
    found = agreement_of(turns, ladder)
    return Together(
        turns=len(turns),
        children=len({seen[0].athlete for seen in turns}),
        raters=tuple(sorted({a.rater for seen in turns for a in seen})),
        camps=len({seen[0].camp for seen in turns}),
        criteria=found,
        least=least_words(found.values()),
    )


def _errors(ladder: Ladder, connection: Connection) -> MarkErrors:
    marks = attempts.attempts_marked_again(connection)
    return errors_of_marks(marked_together(marks), remarkings(marks), ladder)
