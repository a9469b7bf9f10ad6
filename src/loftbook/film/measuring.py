"""From a clip and a track to flights with readings: the one call that does everything after detection."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from loftbook.film.bed import agreed, lines_found
from loftbook.film.clip import Clip
from loftbook.film.contacts import Contact, contact_of, on_feet
from loftbook.film.course import Course, course_of, levers_of
from loftbook.film.falling import Fall, Window, fall_of
from loftbook.film.finding import windows_of
from loftbook.film.judging import SLOWED, judged, slow_motion
from loftbook.film.lines import Line
from loftbook.film.mass import mass_centre, mass_centre_spread, parts_of, places_of, usual_body
from loftbook.film.measurement import FlightSeen, Measurement
from loftbook.film.phases import phases_of
from loftbook.film.quick import as_sure_as_its_model
from loftbook.film.readings import ShapeLimits, all_readings, usual_limits
from loftbook.film.sense import sense_of
from loftbook.film.track import Array, Track
from loftbook.mechanics import Trust, Verdict, body

SURER = (1.0, 4.0)  # a surer frame than usual does not count more: what is left over there is not the joints
DOUBT = 0.035  # of the trunk's length: usual error of the mass centre in one frame; rendered clips


def measure(
    clip: Clip,
    track: Track,
    *,
    bed_line: Line | None = None,
    landing_line: Line | None = None,
    stature: float | None = None,
    limits: ShapeLimits | None = None,
) -> Measurement:
    """Everything that a clip and a track of it can tell, with a verdict for each thing.

    Units
        bed_line : the surface of the bed from the side, px; landing_line : of the landing, the bed's where None
        stature : m, makes the check of scale sharper and momentum better; limits : of shapes, by a named edition

    Valid
        a still camera, square to the flight, that shows one athlete; the same facts give the same readings bit for
        bit

    Source
        docs/guide/film.md

    Example
        >>> from loftbook.film.track import BY_HAND
        >>> n = 30
        >>> clip = Clip(times=np.arange(n) / 60, width=1280, height=720, codec="h264", digest="0" * 64)
        >>> track = Track(clip.times, np.arange(n), np.full((n, 19, 2), 300.0), np.ones((n, 19)),
        ...     np.full((n, 19), BY_HAND), np.full(n, np.nan), 1280, 720, "clicked by hand")
        >>> measure(clip, track).verdict.trust
        <Trust.NONE: 'none'>
    """
    limits = usual_limits() if limits is None else limits
    lines = (bed_line, landing_line if landing_line is not None else bed_line)
    found = _flights(track, lines, stature)
    if all(f.judged.path.trust == Trust.NONE for f in found):
        found = _slowed_flights(track, lines, stature) or found
    told = (as_sure_as_its_model(all_readings(f, limits), track.detector) for f in found)
    named = (tuple(replace(r, recipe=_recipe(r.recipe, track)) for r in readings) for readings in told)
    return _whole(clip, track, tuple(replace(f, readings=r) for f, r in zip(found, named, strict=True)))


def _recipe(recipe: str, track: Track) -> str:
    """The recipe of a reading, with the second eyes that had a say in it."""
    return recipe if track.second is None else f"{recipe} + {track.second.name}"


def _flights(track: Track, lines: tuple[Line | None, Line | None], stature: float | None) -> list[FlightSeen]:
    laid = _laid(track)
    found: list[FlightSeen] = []
    for window in windows_of(track.times, laid.path, laid.trunk):
        flight = _flight(laid, window, lines=lines, stature=stature)
        if flight is not None:
            contact, spread = _contact_before(flight, found)
            found.append(replace(flight, number=len(found) + 1, contact=contact, contact_spread=spread))
    return found


def _slowed_flights(
    track: Track, lines: tuple[Line | None, Line | None], stature: float | None
) -> list[FlightSeen]:
    """Flights that show only when the film is played faster, so slow that nothing in it looked like a fall.

    They stand at the film's own times, and say what they look like; nothing is applied.
    """
    for factor in SLOWED:
        quick = _flights(replace(track, times=track.times / factor), lines, stature)
        if any(f.judged.path.trust == Trust.GOOD for f in quick):
            return [_at_film_times(f, factor) for f in quick]
    return []


def _at_film_times(flight: FlightSeen, factor: int) -> FlightSeen:
    sentence = slow_motion(flight.stature_estimated * factor**2, factor)
    path = Verdict(Trust.DOUBTFUL, sentence)
    phases = flight.phases
    return replace(
        flight,
        leaves=replace(flight.leaves, time=flight.leaves.time * factor, spread=flight.leaves.spread * factor),
        lands=replace(flight.lands, time=flight.lands.time * factor, spread=flight.lands.spread * factor),
        course=replace(flight.course, times=flight.course.times * factor),
        fall=replace(flight.fall, apex_time=flight.fall.apex_time * factor),
        phases=replace(
            phases,
            closing=None if phases.closing is None else phases.closing * factor,
            opening=None if phases.opening is None else phases.opening * factor,
            held=(phases.held[0] * factor, phases.held[1] * factor),
        ),
        judged=replace(flight.judged, path=path, slowed=factor, reasons=(sentence, *flight.judged.reasons)),
    )


@dataclass(frozen=True, eq=False)
class _Laid:
    """A track with the segment model laid into it: places and mass centre in px, the trunk's usual length.

    `surer` tells how far the mass centre may be off in each frame, over the usual: unsure joints weigh less.
    """

    track: Track
    places: dict[str, Array]
    path: Array
    trunk: float
    surer: Array

    def fall(self, window: Window) -> Fall:
        track = self.track
        return fall_of(
            track.times,
            self.path,
            window,
            doubt=DOUBT * self.trunk * self.surer,
            levers=levers_of(self.places),
            picture=(float(track.width), float(track.height)),
        )

    def with_legs_held(self, first: int, last: int) -> _Laid:
        """The same with legs that hang from the hips, outside the air, as they do at its two ends.

        A bed that gives way, or its frame, hides the feet, and a hidden foot is guessed too high. In the few hundredths
        of a second that tell a contact the legs are all but straight.
        """
        places = dict(self.places)
        rows = np.clip(np.arange(len(self.track.times)), first, last)
        for name in ("knee", "ankle", "heel", "toe"):
            hung = self.places[name] - self.places["hip"]
            places[name] = self.places["hip"] + hung[rows]
        return replace(self, places=places, path=mass_centre(places, parts_of(usual_body())))


def _laid(track: Track) -> _Laid:
    places = places_of(track)
    lengths = np.linalg.norm(places["shoulder"] - places["hip"], axis=1)
    trunk = float(np.nanmedian(lengths)) if np.isfinite(lengths).any() else float("nan")
    spread = mass_centre_spread(track, parts_of(usual_body()))
    usual = float(np.nanmedian(spread)) if np.isfinite(spread).any() else 1.0
    surer = np.clip(np.where(np.isfinite(spread), spread, usual) / max(usual, 1e-9), *SURER)
    return _Laid(track, places, mass_centre(places, parts_of(usual_body())), trunk, surer)


def _flight(
    laid: _Laid, window: Window, *, lines: tuple[Line | None, Line | None], stature: float | None
) -> FlightSeen | None:
    fall, track = _fall(laid, window), laid.track
    if fall is None:
        return None
    estimated = stature_of(course_of(track, fall, parts_of(usual_body())), fall)
    height = stature if stature is not None else float(np.clip(estimated, 0.8, 2.3))
    found = lines_found(track, fall, lines, height)
    lines = (lines[0] or agreed(found[0]), lines[1] or agreed(found[1]))
    ends = (
        contact_of(track, fall, lines[0], landing=False, stature=height),
        contact_of(track, fall, lines[1], landing=True, stature=height),
    )
    if any(end.by_feet for end in ends):
        fall = _fall_between(laid, window, ends, fall)
    athlete = body(height, "female", age=12.0)
    course = course_of(track, fall, parts_of(athlete))
    ends = (on_feet(ends[0], course, landing=False), on_feet(ends[1], course, landing=True))
    sense = sense_of(track, course, ends[0].time, ends[1].time)
    scatter = spin_scatter(course, ends)
    return FlightSeen(
        number=0,
        leaves=ends[0],
        lands=ends[1],
        fall=fall,
        course=course,
        sense=sense,
        phases=phases_of(course, ends[0].time, ends[1].time),
        athlete=athlete,
        stature=height,
        stature_estimated=estimated,
        spin_scatter=scatter,
        lines_found=found,
        silhouette=track.silhouette,
        contact=float("nan"),
        contact_spread=float("nan"),
        judged=judged(track, course, fall, ends=ends, sense=sense, known=(stature, estimated, scatter)),
    )


def _fall(laid: _Laid, window: Window) -> Fall | None:
    """The fall, fitted twice: the second time from the window that the first one found."""
    if window.last - window.first < 7:
        return None
    fall, times = laid.fall(window), laid.track.times
    inside = np.flatnonzero((times >= fall.leaves) & (times <= fall.lands))
    if len(inside) < 8:
        return None
    first, last = int(inside[0]), int(inside[-1])
    return laid.with_legs_held(first, last).fall(replace(window, first=first, last=last))


def _fall_between(laid: _Laid, window: Window, ends: tuple[Contact, Contact], before: Fall) -> Fall:
    """The fall again between contacts that the feet told, so that scale and path rest on the air alone."""
    times = laid.track.times
    inside = np.flatnonzero((times >= ends[0].time) & (times <= ends[1].time))
    if len(inside) < 8:
        return before
    known = replace(
        window, first=int(inside[0]), last=int(inside[-1]), leaves=ends[0].time, lands=ends[1].time
    )
    return replace(laid.fall(known), leaves_spread=before.leaves_spread, lands_spread=before.lands_spread)


def stature_of(course: Course, fall: Fall) -> float:
    """How tall somebody stands whose trunk, thighs and shanks are this long, m.

    Valid
        to about 5 %: lines between joint centres, of which a pose model has its own idea

    Source
        segment lengths as in `mechanics.body`
    """
    usual = {(p.start, p.end): p.length for p in parts_of(usual_body())}
    air = course.between(fall.leaves, fall.lands)
    pairs = (("hip", "shoulder"), ("hip", "knee"), ("knee", "ankle"))
    seen = sum(
        float(np.nanmedian(np.linalg.norm(course.places[b] - course.places[a], axis=1)[air]))
        for a, b in pairs
    )
    return seen / sum(usual[pair] for pair in pairs) * usual_body().stature


def spin_scatter(course: Course, ends: tuple[Contact, Contact]) -> float:
    """How far the angular momentum wanders through the air, over its mean; smoothed over a tenth of a second."""
    away = 0.05
    air = course.between(ends[0].time + away, ends[1].time - away)
    values = course.momentum[air]
    if not np.isfinite(values).all() or len(values) < 8:
        values = values[np.isfinite(values)]
    if len(values) < 8:
        return float("nan")
    step = float(np.median(np.diff(course.times)))
    width = max(1, round(0.1 / step))
    smooth = np.convolve(values, np.ones(width) / width, mode="valid")
    return float(np.std(smooth)) / max(abs(float(np.mean(smooth))), 1e-9)


def _contact_before(flight: FlightSeen, earlier: list[FlightSeen]) -> tuple[float, float]:
    """Time on the bed before this flight, when the film shows the flight before it."""
    if not earlier or not (earlier[-1].lands.seen and flight.leaves.seen):
        return float("nan"), float("nan")
    last = earlier[-1].lands
    return flight.leaves.time - last.time, float(np.hypot(flight.leaves.spread, last.spread))


def _whole(clip: Clip, track: Track, flights: tuple[FlightSeen, ...]) -> Measurement:
    if not flights:
        sentence = (
            "Nobody was found flying: the mass centre never falls freely for a third of a second with its highest "
            "place in the film."
        )
        return Measurement(
            clip.digest, track.detector, Verdict(Trust.NONE, sentence), (sentence, *clip.notes), (), None
        )
    main = int(np.argmax([_turned(f) for f in flights]))
    best = flights[main].judged
    order = {Trust.NONE: 0, Trust.DOUBTFUL: 1, Trust.GOOD: 2}
    verdicts = (best.path, best.turning, best.pose)
    worst = min(verdicts, key=lambda v: order[v.trust])
    trust = Trust.NONE if best.path.trust == Trust.NONE else Trust.GOOD
    if trust == Trust.GOOD and worst.trust != Trust.GOOD:
        trust = Trust.DOUBTFUL
    sentence = worst.sentence if trust != Trust.GOOD else best.path.sentence
    return Measurement(
        clip.digest,
        track.detector,
        Verdict(trust, sentence),
        tuple(dict.fromkeys((*best.reasons, *clip.notes))),
        flights,
        main,
    )


def _turned(flight: FlightSeen) -> float:
    course = flight.course
    turned = course.at(course.trunk, flight.lands.time) - course.at(course.trunk, flight.leaves.time)
    return abs(turned) if np.isfinite(turned) else 0.0
