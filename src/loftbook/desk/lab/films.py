"""What film has measured of somebody's doubles, ready for the next step."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping
from uuid import UUID

from loftbook.book.attempts import Attempt
from loftbook.book.consent import Purpose, word_on
from loftbook.book.people import Athlete
from loftbook.desk import Desk
from loftbook.film.reading import Reading
from loftbook.insight.measured import Measured
from loftbook.insight.next_rungs import doubles, shape_of
from loftbook.ladder.scales import Shape
from loftbook.mechanics import Trust
from loftbook.store import attempts, clips, readings
from loftbook.store.database import Connection

TIME, MOMENTUM = "time of flight", "angular momentum"  # names of the readings of film
LEAST_TIME, MOST_TIME = 0.9, 2.2  # s; outside it is no double of anybody here


def measured_flights(
    desk: Desk, connection: Connection, athletes: Collection[Athlete]
) -> Mapping[UUID, tuple[Measured, ...]]:
    """Each one's filmed doubles without twist; nothing of films whose consent was taken back."""
    hers = clips.clips_of_athletes(connection, [who.id for who in athletes])
    films = {one.attempt: one for one in hers}
    if not films:
        return {}
    found = readings.measured(connection, {one.id for one in films.values()})
    shapes = {rung.key: shape_of(rung) for rung in doubles(desk.ladder)}
    told: dict[UUID, tuple[Measured, ...]] = {}
    for who in athletes:
        if not may_be_seen(desk, connection, who):
            continue
        flights = []
        for turn, versions in _turns(connection, who.id):
            film = next((films[one] for one in versions if one in films), None)
            finding = found.get(film.id) if film else None
            if turn.rung in shapes and finding is not None and finding.verdict.trust is not Trust.NONE:
                flights.append(measured_of(finding.readings, turn, shapes[turn.rung]))
        told[who.id] = tuple(one for one in flights if one is not None)
    return told


def measured_of(numbers: Iterable[Reading], turn: Attempt, shape: Shape) -> Measured | None:
    """One filmed flight from its readings; None where its time in the air cannot be told or is no double's."""
    told = {one.name: one for one in numbers if one.verdict.trust is not Trust.NONE}
    time, time_off = _number(told.get(TIME))
    momentum, momentum_off = _number(told.get(MOMENTUM))
    if time is None or not LEAST_TIME <= time <= MOST_TIME:
        return None
    backward = momentum is not None and momentum > 0
    return Measured(
        flight_time=time,
        flight_time_off=time_off,
        momentum=momentum if backward else None,
        momentum_off=momentum_off if backward else 0.0,
        shape=shape,
        on=turn.at.date(),
    )


def _number(one: Reading | None) -> tuple[float | None, float]:
    if one is None or not isinstance(one.value, float | int) or one.uncertainty is None:
        return None, 0.0
    return float(one.value), one.uncertainty


def _turns(connection: Connection, athlete: UUID) -> Iterable[tuple[Attempt, tuple[UUID, ...]]]:
    """Her turns in force, each with the ids of all its versions: a film stays with the turn that was corrected."""
    ever = {one.id: one for one in attempts.attempts_of_athlete(connection, athlete, all=True)}
    for turn in attempts.attempts_of_athlete(connection, athlete):
        versions, one = [turn.id], turn
        while one.replaces is not None and one.replaces in ever and one.replaces not in versions:
            one = ever[one.replaces]
            versions.append(one.id)
        yield turn, tuple(versions)


def may_be_seen(desk: Desk, connection: Connection, who: Athlete) -> bool:
    """Whether the last word on filming her is not a no."""
    said = clips.consents_of(connection, [who.id])
    word = word_on(Purpose.FILMING, desk.clock().date(), athlete=who, consents=said)
    return word is None or word.allowed
