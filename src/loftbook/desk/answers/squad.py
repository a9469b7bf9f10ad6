"""The whole squad on one page: who she is, where she stood last, what is missing."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from loftbook.book.people import Athlete, Camp
from loftbook.desk import Desk
from loftbook.desk.missing import missing_about
from loftbook.desk.standing import up_to_date
from loftbook.insight.standing import Standing
from loftbook.ladder.rungs import Rung
from loftbook.store import camps, people, standings


@dataclass(frozen=True)
class SquadRow:
    """One gymnast in the squad's list."""

    athlete: Athlete
    age: float | None
    club: str
    last_camp: Camp | None
    standings: Mapping[str, Standing]
    missing: tuple[str, ...]


@dataclass(frozen=True)
class SquadAnswer:
    """The squad's page."""

    athletes: tuple[SquadRow, ...]
    camps: tuple[Camp, ...]  # newest first
    rungs: tuple[Rung, ...]
    invented: bool


def squad_answer(desk: Desk) -> SquadAnswer:
    """Every gymnast with her standing at the last camp she came to."""
    with up_to_date(desk) as connection:
        everyone = people.athletes(connection)
        every_camp = {camp.id: camp for camp in camps.camps(connection)}
        latest = standings.latest_by_athlete(connection)
    today = desk.clock().date()
    rows = []
    for athlete in everyone:
        mine = latest.get(athlete.id, ())
        camp = every_camp.get(mine[0].camp) if mine else None
        rows.append(
            SquadRow(
                athlete=athlete,
                age=athlete.age_on(today),
                club=athlete.club.club if athlete.club else "",
                last_camp=camp,
                standings={s.rung: s for s in mine},
                missing=missing_about(athlete),
            )
        )
    newest = sorted(every_camp.values(), key=lambda c: (c.starts, c.name), reverse=True)
    return SquadAnswer(
        athletes=tuple(rows),
        camps=tuple(newest),
        rungs=desk.ladder.test_rungs,
        invented=any(a.invented for a in everyone),
    )
