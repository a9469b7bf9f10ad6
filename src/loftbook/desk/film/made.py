"""From the pure middle of `film` to what a book keeps of a clip and what its pages draw."""

from __future__ import annotations

import math
from dataclasses import replace
from typing import Any

import numpy as np

from loftbook.desk.film.port import Given, Made
from loftbook.film.clip import Clip
from loftbook.film.exports.table import TimeCourse
from loftbook.film.lines import Line
from loftbook.film.measurement import FlightSeen, Measurement
from loftbook.film.measuring import measure
from loftbook.film.telling import COLUMNS, as_json, time_course
from loftbook.film.track import BY_HAND, COLUMN, JOINTS, Track
from loftbook.mechanics.flight import Trust, Verdict

RECIPE = "film/1"
BY_HAND_SPREAD = 3.0  # px: how well a joint is hit with a finger or a mouse; a guess, no source
_KEPT = ("digest", "detector", "main_flight", "flights")


def made_of(clip: Clip, track: Track, given: Given) -> Made:
    """Measures a track with what people said: their points in it, their bed line, the speed they confirmed."""
    speed = float(given.speed or 1.0)
    track = with_points(track, given.points)
    if speed != 1.0:
        clip = replace(clip, times=clip.times / speed)
        track = replace(track, times=track.times / speed)
    bed = None if given.bed is None else Line(*given.bed)
    measured = measure(clip, track, bed_line=bed, stature=given.stature)
    chosen = _chosen(measured, given.flight)
    readings = () if chosen is None else measured.flights[chosen].readings
    course = None if chosen is None else course_to_save(measured.flights[chosen], track, clip)
    told: dict[str, Any] = {name: value for name, value in as_json(measured).items() if name in _KEPT}
    told |= {"chosen_flight": None if chosen is None else chosen + 1, "speed": speed}
    if course is not None:
        told["curves"] = curves_of(course)
    verdict, reasons = _verdict(measured, chosen)
    return Made(
        verdict=verdict,
        reasons=reasons,
        readings=readings,
        recipe=RECIPE,
        told=told,
        course=course,
        track=track,
    )


def with_points(track: Track, points: tuple[tuple[int, str, float, float], ...]) -> Track:
    """A track with the joints that somebody put by hand in their places.

    Points in frames that were not tracked are left out.
    """
    if not points:
        return track
    row = {int(frame): n for n, frame in enumerate(track.frames)}
    places, spread, origin = track.points.copy(), track.spread.copy(), track.origin.copy()
    apart = track.apart.copy()
    for frame, joint, x, y in points:
        if frame in row and joint in COLUMN:
            n, k = row[frame], COLUMN[joint]
            places[n, k], spread[n, k], origin[n, k] = (x, y), BY_HAND_SPREAD, BY_HAND
    by_hand = (origin == BY_HAND).sum(axis=1)
    apart[by_hand >= len(("shoulder", "hip", "knee", "ankle"))] = (
        np.nan
    )  # the passes have no say there any more
    return replace(track, points=places, spread=spread, origin=origin, apart=apart)


def _chosen(measured: Measurement, flight: int | None) -> int | None:
    if flight is not None and 0 <= flight < len(measured.flights):
        return flight
    return measured.main


def _verdict(measured: Measurement, chosen: int | None) -> tuple[Verdict, tuple[str, ...]]:
    """The film's own verdict; where another flight was chosen, that one's."""
    if chosen is None or chosen == measured.main:
        return measured.verdict, measured.reasons
    seen = measured.flights[chosen].judged
    worst = min((seen.path, seen.turning, seen.pose), key=lambda one: list(Trust)[::-1].index(one.trust))
    return worst, seen.reasons


def course_to_save(flight: FlightSeen, track: Track, clip: Clip) -> TimeCourse:
    """The body through one flight, from a little before to a little after, as `film.telling` names it, with markers.

    Units
        markers in m: x from the middle of the picture, y up from the apex
    """
    rows = time_course(flight)
    row_of = {int(frame): n for n, frame in enumerate(track.frames)}
    here = np.array([row_of[int(row["frame"] or 0)] for row in rows], dtype=np.int64)
    columns = {
        name: np.array([np.nan if (value := row[name]) is None else float(value) for row in rows])
        for name in COLUMNS
        if name not in ("flight", "frame", "time_s")
    }
    placed = flight.fall.place(track.points[here])
    markers = np.concatenate([placed, np.zeros((*placed.shape[:2], 1))], axis=-1)
    markers[~np.isfinite(markers).all(axis=-1)] = np.nan
    return TimeCourse(track.times[here], track.frames[here], columns, markers, JOINTS, clip.rate)


def curves_of(course: TimeCourse) -> dict[str, list[float | int | None]]:
    """The time course as lists that JSON can hold, with None where nothing is known."""
    curves: dict[str, list[float | int | None]] = {
        "frame": [int(n) for n in course.frames],
        "time_s": [float(t) for t in course.times],
    }
    return curves | {name: [_plain(v) for v in values] for name, values in course.columns.items()}


def _plain(value: float) -> float | None:
    return float(value) if math.isfinite(value) else None
