"""From the pure middle of `film` to what a book keeps of a clip and what its pages draw."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace
from typing import Any

import numpy as np

from loftbook.desk.film.port import Given, Made
from loftbook.film.clip import Clip
from loftbook.film.exports.table import TimeCourse
from loftbook.film.guided import (
    CLICKED,
    CORNERS,
    LEAST_CLICKS,
    USUAL_SHARES,
    Click,
    proposed_frames,
    with_clicks,
)
from loftbook.film.lines import Line
from loftbook.film.measurement import FlightSeen, Measurement
from loftbook.film.measuring import measure
from loftbook.film.telling import COLUMNS, as_json, time_course
from loftbook.film.track import BY_HAND, COLUMN, JOINTS, Track
from loftbook.mechanics.flight import Trust, Verdict

SIDES = ("left", "right")
RECIPE = "film/1"
BY_HAND_SPREAD = 3.0  # px: how well a joint is hit with a finger or a mouse; a guess, no source
_KEPT = ("digest", "detector", "main_flight", "flights")


def made_of(clip: Clip, track: Track, given: Given) -> Made:
    """Measures a track with what people said: their points in it, their bed line, the speed they confirmed."""
    speed = float(given.speed or 1.0)
    clip, track, measured = measured_of(clip, track, given)
    chosen = _chosen(measured, given.flight)
    readings = () if chosen is None else measured.flights[chosen].readings
    course = None if chosen is None else course_to_save(measured.flights[chosen], track, clip)
    told: dict[str, Any] = {name: value for name, value in as_json(measured).items() if name in _KEPT}
    told |= {"chosen_flight": None if chosen is None else chosen + 1, "speed": speed}
    told["keys"] = keys_of(measured, chosen, track)
    if course is not None:
        told["curves"] = curves_of(course)
    verdict, reasons = _verdict(measured, chosen)
    return Made(
        verdict=verdict,
        reasons=reasons,
        readings=readings,
        recipe=RECIPE if track.second is None else f"{RECIPE} + {track.second.name}",
        told=told,
        course=course,
        track=track,
    )


def measured_of(clip: Clip, track: Track, given: Given) -> tuple[Clip, Track, Measurement]:
    """A clip and its track at the speed and with the points that people gave, and what was measured in them."""
    speed = float(given.speed or 1.0)
    track = with_points(track, given.points)
    if speed != 1.0:
        clip = replace(clip, times=clip.times / speed)
        track = replace(track, times=track.times / speed)
    bed = None if given.bed is None else Line(*given.bed)
    return clip, track, measure(clip, track, bed_line=bed, stature=given.stature)


def flight_meant(clip: Clip, track: Track, given: Given) -> FlightSeen | None:
    """The flight of a clip whose readings are the film's, or None where nobody flew."""
    *_, measured = measured_of(clip, track, given)
    chosen = _chosen(measured, given.flight)
    return None if chosen is None else measured.flights[chosen]


def with_points(track: Track, points: tuple[tuple[int, str, float, float], ...]) -> Track:
    """A track with what somebody put by hand worked in.

    Frames with all four of shoulder, hip, knee and ankle are guided clicks: from the fourth such frame on, physics
    fills in what lies between them. A joint that is named with its side stands where it was put, whatever else is said.
    Points in frames that were not tracked are left out.
    """
    rows = {int(frame): n for n, frame in enumerate(track.frames)}
    here = [point for point in points if point[0] in rows]
    middles: dict[int, dict[str, tuple[float, float]]] = {}
    for frame, joint, x, y in here:
        if joint in CLICKED:
            middles.setdefault(frame, {})[joint] = (x, y)
    whole = [Click(frame, **places) for frame, places in middles.items() if len(places) == len(CLICKED)]
    if len(whole) >= LEAST_CLICKS:
        track = with_clicks(track, whole)
    sided = [point for point in here if point[1] in COLUMN]
    if len(whole) < LEAST_CLICKS:
        sided = [
            (frame, f"{side}_{joint}", x, y)
            for frame, joint, x, y in here
            if joint in CLICKED
            for side in SIDES
        ] + sided
    return _put(track, sided, rows) if sided else track


def _put(track: Track, points: list[tuple[int, str, float, float]], rows: dict[int, int]) -> Track:
    places, spread, origin = track.points.copy(), track.spread.copy(), track.origin.copy()
    for frame, joint, x, y in points:
        n, k = rows[frame], COLUMN[joint]
        places[n, k], spread[n, k], origin[n, k] = (x, y), BY_HAND_SPREAD, BY_HAND
    return replace(track, points=places, spread=spread, origin=origin)


def keys_of(measured: Measurement, chosen: int | None, track: Track) -> list[dict[str, Any]]:
    """Which frames to click by hand: the corners of the movement, or of what was tracked where nobody flew."""
    if chosen is not None:
        return [
            {"frame": one.frame, "corner": one.corner} for one in proposed_frames(measured.flights[chosen])
        ]
    return usual_keys([int(frame) for frame in track.frames])


def usual_keys(frames: Sequence[int]) -> list[dict[str, Any]]:
    """Key frames at the usual places of a flight, where no flight was seen yet.

    >>> [one["frame"] for one in usual_keys(range(100, 201))]
    [100, 113, 121, 141, 161, 180, 190, 200]
    """
    last = len(frames) - 1
    return [
        {"frame": frames[round(share * last)], "corner": corner}
        for share, corner in zip(USUAL_SHARES, CORNERS, strict=True)
    ]


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
