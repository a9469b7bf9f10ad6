"""The next step of one athlete, and of everybody at a camp, from what is in the book."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from uuid import UUID

from loftbook.book.people import Athlete, Camp
from loftbook.desk import Desk
from loftbook.desk.lab.films import measured_flights
from loftbook.desk.standing import up_to_date
from loftbook.insight.margin import HEIGHT_OFF, USUAL_STATURE, USUAL_STATURE_OFF, Has, Margin, margin, need
from loftbook.insight.measured import Measured, together
from loftbook.insight.next_rungs import beyond, doubles, most_seen, next_rungs, shape_of
from loftbook.insight.next_step import NextStep, next_step
from loftbook.insight.next_step_told import DECIDES, beyond_words
from loftbook.insight.standing import Standing, State
from loftbook.ladder.rungs import Rung
from loftbook.ladder.scales import Help, Shape, TakeOff
from loftbook.mechanics import Band
from loftbook.mechanics.bands import COVERAGE
from loftbook.store import camps, people, standings
from loftbook.store.database import Connection

USUAL_AGE = 12.0  # years, where no birthday is written
_SET_ASIDE = (State.STOPPED, State.DECLINED, State.NOT_ALLOWED)


@dataclass(frozen=True)
class AthleteSteps:
    """What each next rung would ask of one athlete.

    `set_aside` names the rungs that she declined, stopped or was not allowed: nothing is worked out for them.
    """

    athlete: Athlete
    steps: tuple[NextStep, ...]
    done: tuple[str, ...]  # doubles that came round alone, in ladder order
    set_aside: tuple[str, ...]
    filmed: int
    beyond: tuple[str, ...]  # rungs of another kind that follow, and why nothing is worked out for them
    assumed: tuple[str, ...]
    decides: str
    invented: bool


@dataclass(frozen=True)
class GroupRow:
    """One athlete's margin for her next rung; None where nothing says what she has, or no rung is left."""

    athlete: UUID
    name: str
    rung: str
    rung_name: str
    margin: Margin | None
    filmed: bool
    may_be_filmed: bool
    height_known: bool


@dataclass(frozen=True)
class CampSteps:
    """A camp's athletes in running order, each with her margin; who has no measurement yet."""

    camp: Camp
    rows: tuple[GroupRow, ...]
    unmeasured: tuple[str, ...]
    rungs: tuple[Rung, ...]
    chosen: str
    decides: str
    invented: bool

    @property
    def title(self) -> str:
        """What the picture of the group is about."""
        rung = next((one.short for one in self.rungs if one.key == self.chosen), "")
        return (
            f"How far each would come round: {rung}"
            if rung
            else "How far each would come round on her next rung"
        )

    @property
    def named_bands(self) -> tuple[tuple[str, str, Band | None, bool], ...]:
        """For each row her name, her rung where they differ, the band of turns over, and whether film says so."""
        return tuple(
            (
                row.name,
                "" if self.chosen else row.rung_name,
                row.margin.over if row.margin else None,
                row.filmed,
            )
            for row in self.rows
        )


def athlete_steps(desk: Desk, athlete_id: UUID) -> AthleteSteps:
    """What each next rung would ask of her, against what is known; raises UnknownThing for nobody."""
    with up_to_date(desk) as connection:
        who = people.athlete(connection, athlete_id)
        hers = standings.standings_of_athletes(connection, [athlete_id])
        order = [camp.id for camp in camps.camps_of(connection, [athlete_id])[athlete_id]]
        films = measured_flights(desk, connection, [who]).get(athlete_id, ())
    return steps_of(desk, who, _in_time(hers, order), films)


def steps_of(desk: Desk, who: Athlete, hers: Sequence[Standing], films: Sequence[Measured]) -> AthleteSteps:
    """The same from what was read already; `hers` oldest first."""
    alone, aside = _alone(hers), _aside(hers)
    has = has_of(desk, who, alone, films)
    rungs = next_rungs(desk.ladder, alone, aside)
    known, filming = who.height is not None, who.may_be_filmed
    steps = tuple(next_step(rung, has, height_known=known, may_be_filmed=filming) for rung in rungs)
    names = {rung.key: rung.short for rung in doubles(desk.ladder)}
    return AthleteSteps(
        athlete=who,
        steps=steps,
        done=tuple(names[key] for key in names if key in alone),
        set_aside=tuple(names[key] for key in names if key in aside),
        filmed=sum(f.flights for f in films),
        beyond=beyond_words(beyond(desk.ladder, alone, aside)),
        assumed=() if who.born else (f"{USUAL_AGE:.0f} years of age, assumed: no birthday is written",),
        decides=DECIDES,
        invented=who.invented,
    )


def camp_steps(desk: Desk, camp_id: UUID, *, rung: str = "") -> CampSteps:
    """Everybody's margin at a camp: each for her own next rung, or all for one that is named.

    Raises UnknownThing for a camp or rung that is not there.
    """
    with up_to_date(desk) as connection:
        camp = camps.camp(connection, camp_id)
        everybody = _there(connection, camp_id)
        ids = [one.id for one in everybody]
        hers = standings.standings_of_athletes(connection, ids)
        orders = camps.camps_of(connection, ids)
        films = measured_flights(desk, connection, everybody)
    known = {one.key: one for one in doubles(desk.ladder)}
    if rung and rung not in known:
        desk.ladder.rung(rung)
    rows = tuple(
        _row(
            desk,
            who,
            _in_time((s for s in hers if s.athlete == who.id), [camp.id for camp in orders[who.id]]),
            films.get(who.id, ()),
            wanted=known.get(rung),
        )
        for who in everybody
    )
    return CampSteps(
        camp=camp,
        rows=rows,
        unmeasured=tuple(row.name for row in rows if not row.filmed),
        rungs=tuple(known.values()),
        chosen=rung if rung in known else "",
        decides=DECIDES,
        invented=camp.invented or any(who.invented for who in everybody),
    )


def has_of(desk: Desk, who: Athlete, alone: Collection[str], films: Sequence[Measured]) -> Has:
    """What she brings, from the book."""
    seen = most_seen(desk.ladder, alone)
    age = who.age_on(desk.clock().date())
    stature = who.height.metres if who.height else USUAL_STATURE
    return Has(
        age=USUAL_AGE if age is None else age,
        stature=stature,
        stature_off=HEIGHT_OFF if who.height else USUAL_STATURE_OFF,
        seen=shape_of(seen) if seen else None,
        measured=_of_her_most(together(films), shape_of(seen) if seen else None, stature, age),
    )


def _of_her_most(
    film: Measured | None, seen: Shape | None, stature: float, age: float | None
) -> Measured | None:
    """What was filmed, without its spin where that spin would not have done for a double that came round."""
    if film is None or film.momentum is None or seen is None:
        return film
    alone = Has(USUAL_AGE if age is None else age, stature, 0.0, seen, replace(film, momentum=None))
    most = (film.momentum + COVERAGE * film.momentum_off) / stature**2
    return replace(film, momentum=None, momentum_off=0.0) if most < need(alone, seen).least else film


def _row(
    desk: Desk, who: Athlete, hers: Sequence[Standing], films: Sequence[Measured], *, wanted: Rung | None
) -> GroupRow:
    alone, aside = _alone(hers), _aside(hers)
    has = has_of(desk, who, alone, films)
    rungs = next_rungs(desk.ladder, alone, aside)
    rung = wanted if wanted is not None and wanted.key not in aside else None
    if wanted is None:
        rung = rungs[0] if rungs else None
    filmed = has.measured is not None and has.measured.momentum is not None
    return GroupRow(
        athlete=who.id,
        name=who.name.full,
        rung=rung.key if rung else "",
        rung_name=rung.short if rung else "",
        margin=margin(has, shape_of(rung)) if rung else None,
        filmed=filmed,
        may_be_filmed=who.may_be_filmed,
        height_known=who.height is not None,
    )


def _there(connection: Connection, camp_id: UUID) -> tuple[Athlete, ...]:
    """Whoever is expected or was written about at the camp, in running order."""
    ids = {*camps.expected(connection, camp_id)}
    ids |= {s.athlete for s in standings.standings_of_camp(connection, camp_id)}
    return people.athletes(connection, ids)


def _in_time(hers: Iterable[Standing], order: Sequence[UUID]) -> list[Standing]:
    place = {camp: n for n, camp in enumerate(order)}
    return sorted(hers, key=lambda one: place.get(one.camp, -1))


def _alone(hers: Iterable[Standing]) -> set[str]:
    """Rungs that she met at any camp, from the trampoline or a bed of its kind with nobody in."""
    return {
        one.rung
        for one in hers
        if one.state is State.ALONE
        and one.help in (None, Help.NOBODY_IN)
        and one.take_off in (None, TakeOff.TRAMPOLINE)
    }


def _aside(hers: Iterable[Standing]) -> set[str]:
    """Rungs on which the last word is that she declined, stopped or was not allowed."""
    last: Mapping[str, Standing] = {one.rung: one for one in hers if one.state is not State.NO_RECORD}
    return {key for key, one in last.items() if one.state in _SET_ASIDE}
