"""What measuring a film gives: the flights in it, what each did, how far to trust it, and why."""

from __future__ import annotations

from dataclasses import dataclass

from loftbook.film.bed import FoundLine
from loftbook.film.contacts import DISPUTED, Contact
from loftbook.film.course import Course
from loftbook.film.falling import Fall
from loftbook.film.phases import Phases
from loftbook.film.reading import Reading
from loftbook.film.sense import Sense
from loftbook.film.track import Silhouette
from loftbook.mechanics import Body, Trust, Verdict

PIKED_DOUBTFUL = 0.08  # of the air's frames: less is somebody passing through a pike


@dataclass(frozen=True)
class Judged:
    """How far to trust one flight: its path, its pose, its turning, each with reasons.

    Units
        path : whether the mass centre fell as gravity makes it; pose : whether joints were followed; turning : whether
        the count of turns is sure; momentum : whether the turning keeps its momentum
        apart : share of the air's frames in which the passes disagree; broken : share with limbs of wrong length
        piked : share in which she is in a pike and nobody clicked her joints
        slowed : 2, 4 or 8 when the times look slowed down by that factor, else 1
        reasons : sentences for the coach, the gravest first; way_out : what to do about it, None if nothing
    """

    path: Verdict
    pose: Verdict
    turning: Verdict
    momentum: Verdict
    apart: float
    broken: float
    slowed: int
    reasons: tuple[str, ...]
    way_out: str | None = None
    piked: float = 0.0

    @property
    def guessed_pike(self) -> bool:
        """Whether hips and knees rest on a pose model in a pike, where none is to be trusted."""
        return self.piked > PIKED_DOUBTFUL


@dataclass(frozen=True, eq=False)
class FlightSeen:
    """One flight of a film, before and after it is read.

    Units
        number : 1 is the first flight of the film; leaves, lands : the two contacts
        stature : m, given or estimated; stature_estimated : m, by the body's own lines and the scale from gravity
        spin_scatter : of the angular momentum over the flight, relative
        lines_found : the surfaces of take-off and landing as found in the picture, None where drawn or not found
        silhouette : the witness that knows no joints, None where there is none
        contact : s on the bed before take-off, as (from landing to take-off), NaN where the film does not show it
    """

    number: int
    leaves: Contact
    lands: Contact
    fall: Fall
    course: Course
    sense: Sense
    phases: Phases
    athlete: Body
    stature: float
    stature_estimated: float
    spin_scatter: float
    silhouette: Silhouette | None
    contact: float
    contact_spread: float
    judged: Judged
    readings: tuple[Reading, ...] = ()
    lines_found: tuple[FoundLine | None, FoundLine | None] = (None, None)

    @property
    def duration(self) -> float:
        """Time in the air, s."""
        return self.lands.time - self.leaves.time

    @property
    def lines_disagree(self) -> bool:
        """Whether a line found in the picture does not go with the push of the bed, and was not used."""
        found = any(one is not None and one.disputed for one in self.lines_found)
        return found or DISPUTED in (self.leaves.how, self.lands.how)

    def reading(self, name: str) -> Reading:
        """One reading by its name."""
        return next(r for r in self.readings if r.name == name)


@dataclass(frozen=True, eq=False)
class Measurement:
    """What a film said: a verdict with its reasons, and each flight in it.

    Units
        main : index of the flight with most turning, whose readings are the film's; None when nobody flew
    """

    digest: str
    detector: str
    verdict: Verdict
    reasons: tuple[str, ...]
    flights: tuple[FlightSeen, ...]
    main: int | None

    @property
    def readings(self) -> tuple[Reading, ...]:
        """The readings of the flight with most turning."""
        return () if self.main is None else self.flights[self.main].readings

    @property
    def trust(self) -> Trust:
        """The verdict in one word."""
        return self.verdict.trust
