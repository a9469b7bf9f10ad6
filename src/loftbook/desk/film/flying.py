"""The flight of a kept film as it was measured, made again from the film's track and what people said of it."""

from __future__ import annotations

from uuid import UUID

from loftbook.desk import Desk
from loftbook.desk.film.engine import REAL
from loftbook.desk.film.made import flight_meant
from loftbook.desk.film.measuring import athlete_of, empty_track, given_of, kept_track
from loftbook.desk.film.places import clip_files
from loftbook.desk.film.port import Engine
from loftbook.film.measurement import FlightSeen
from loftbook.store import clips


def flight_seen(desk: Desk, clip: UUID, *, engine: Engine = REAL) -> FlightSeen | None:
    """The flight whose readings are the film's, or None where nobody flew; nothing is written.

    Raises UnknownThing for a film that is not there, ClipError where its files are gone.
    """
    with desk.store.read() as connection:
        facts = clips.facts(connection, clip)
        athlete = athlete_of(connection, facts)
    film = engine.read(clip_files(desk, clip).original)
    return flight_meant(film, kept_track(desk, facts) or empty_track(film), given_of(facts, film, athlete))
