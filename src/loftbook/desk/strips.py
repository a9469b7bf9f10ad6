"""The strip picture of a letter: her own filmed turn as drawn figures, or the lab's drawing of the rung she works on.

Only joints are drawn, never a picture of her. What is drawn from film is said to be hers; what the
lab draws is said to be a model's.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from functools import lru_cache
from uuid import UUID

import numpy as np

from loftbook.desk import Desk
from loftbook.desk.film.measuring import kept_track
from loftbook.desk.lab.card import FIGURES, figures_of
from loftbook.desk.lab.flying import flown, leaning
from loftbook.desk.lab.planned import Person
from loftbook.desk.lab.presets import preset_plan, presets
from loftbook.errors import LoftbookError
from loftbook.film.track import COLUMN, Track
from loftbook.mechanics import Trust
from loftbook.reports.charts.flight_strip import StripFigure
from loftbook.reports.sheets.letter.compose import LetterStrip
from loftbook.store import clips, readings
from loftbook.store.database import Connection

_LIMBS = ("shoulder", "elbow", "wrist", "hip", "knee", "ankle")
_DRAWN = [
    COLUMN["nose"],
    *(COLUMN[f"{side}_{name}"] for side in ("left", "right") for name in (*_LIMBS, "toe")),
]
_HEAD = 1.6  # from the neck to the crown, in distances from neck to nose; for the drawing only, no source


def filmed_strips(
    desk: Desk, connection: Connection, turns: Mapping[UUID, tuple[str, UUID]]
) -> Mapping[UUID, LetterStrip]:
    """For each gymnast the strip of her latest turn that was filmed and measured.

    `turns` names, by the attempt that was filmed, its rung and whose it was; only turns whose
    consent stands belong in it. A film whose track is gone or too thin to draw gives none, and
    neither does a doubtful one: a paper that goes home has no room for the doubt, and a body
    drawn wrong would be taken for hers.
    """
    films = {one.attempt: one.id for one in clips.clips(connection) if one.attempt in turns}
    found = readings.measured(connection, set(films.values())) if films else {}
    told: dict[UUID, LetterStrip] = {}
    for attempt, clip in films.items():
        finding, (rung, who) = found.get(clip), turns[attempt]
        if finding is None or finding.verdict.trust is not Trust.GOOD:
            continue
        try:
            track = kept_track(desk, clips.facts(connection, clip))
        except LoftbookError:
            continue
        figures = _figures(track, finding.told) if track else ()
        if len(figures) >= FIGURES // 2:
            told[who] = LetterStrip(figures, filmed=True, rung=rung)
    return told


def _figures(track: Track, told: Mapping[str, object]) -> tuple[StripFigure, ...]:
    """Drawn figures from take-off to landing, those instants at which every joint is known."""
    start, end = _flight(track, told)
    inside = np.flatnonzero((track.times >= start - 1e-9) & (track.times <= end + 1e-9))
    known = [n for n in inside if np.isfinite(track.points[n, _DRAWN]).all()]
    if len(known) < 2:
        return ()
    wanted = np.linspace(track.times[known[0]], track.times[known[-1]], FIGURES)
    chosen = sorted({min(known, key=lambda n: abs(track.times[n] - t)) for t in wanted})
    low = float(np.nanmax(track.points[known, :, 1]))  # of the flight alone: in the bed she is lower
    return tuple(_figure(track, int(n), float(track.times[n] - start), low) for n in chosen)


def _flight(track: Track, told: Mapping[str, object]) -> tuple[float, float]:
    number, flights = told.get("chosen_flight"), told.get("flights")
    start, end = float(track.times[0]), float(track.times[-1])
    if isinstance(number, int) and isinstance(flights, list):
        speed = float(str(told.get("speed") or 1.0))
        ends = (flights[number - 1].get("takes_off_s"), flights[number - 1].get("lands_s"))
        start, end = (other if t is None else t * speed for t, other in zip(ends, (start, end), strict=True))
    return start, end


def _figure(track: Track, n: int, time: float, low: float) -> StripFigure:
    def at(name: str) -> tuple[float, float]:
        x, y = track.points[n, COLUMN[name]]
        return float(x), low - float(y)

    def middle(name: str) -> tuple[float, float]:
        (ax, ay), (bx, by) = at(f"left_{name}"), at(f"right_{name}")
        return (ax + bx) / 2, (ay + by) / 2

    points = {f"{side}_{name}": at(f"{side}_{name}") for side in ("left", "right") for name in _LIMBS}
    for side in ("left", "right"):
        points |= {f"{side}_fingers": points[f"{side}_wrist"], f"{side}_toes": at(f"{side}_toe")}
    (hx, hy), (nx, ny), (fx, fy) = middle("hip"), middle("shoulder"), at("nose")
    points |= {"mid_hip": (hx, hy), "neck": (nx, ny)}
    points |= {"waist": (hx + (nx - hx) / 3, hy + (ny - hy) / 3)}
    points |= {"chest": (hx + (nx - hx) * 2 / 3, hy + (ny - hy) * 2 / 3)}
    return StripFigure(time, points | {"crown": (nx + _HEAD * (fx - nx), ny + _HEAD * (fy - ny))})


def lab_strip(rungs: Iterable[str]) -> LetterStrip | None:
    """The lab's drawing of the first of these rungs that it has a flight for, with a body of usual size."""
    known = {one.key for one in presets()}
    key = next((one for one in rungs if one in known), None)
    return _drawn(key) if key else None


@lru_cache(maxsize=32)
def _drawn(key: str) -> LetterStrip:
    return LetterStrip(
        figures_of(leaning(flown(preset_plan(key, Person()), frames=FIGURES))), filmed=False, rung=key
    )
