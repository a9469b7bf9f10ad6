"""The curves of a measured film for drawing, timed from take-off; two films beside each other."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any
from uuid import UUID

from loftbook.desk import Desk
from loftbook.desk.film.answers import FilmLine, must_be_shown
from loftbook.desk.film.wording import Told, reading_rows
from loftbook.errors import Refused
from loftbook.reports.charts.film_curves import FilmCurves
from loftbook.store.readings import FilmMeasured

STEP = 0.1  # s between two rows of the table beside a drawing


@dataclass(frozen=True)
class Beside:
    """One reading of two films."""

    name: str
    first: Told | None
    second: Told | None


@dataclass(frozen=True)
class Compared:
    """Two films, aligned at take-off."""

    first: FilmLine
    second: FilmLine
    curves: tuple[FilmCurves, ...]
    rows: tuple[Beside, ...]
    invented: bool


def curves_of(found: FilmMeasured | None, label: str) -> FilmCurves | None:
    """The curves of the flight that is meant, None where nothing was measured."""
    told = found.told if found else {}
    curves, chosen = told.get("curves"), told.get("chosen_flight")
    if not curves or chosen is None:
        return None
    flight = told["flights"][chosen - 1]
    start = flight["takes_off_s"]
    if start is None:
        return None
    times = [t - start for t in curves["time_s"]]
    nearest = min(range(len(times)), key=lambda n: abs(times[n]), default=None)
    ground = curves["mass_centre_up_m"][nearest] if nearest is not None else None
    phases = flight["phases"]
    marks = {
        "take-off": 0.0,
        "closing": phases["closing_s"],
        "opening": phases["opening_s"],
        "landing": None if flight["lands_s"] is None else flight["lands_s"] - start,
    }
    return FilmCurves(
        label=label,
        times=times,
        height=[None if v is None or ground is None else v - ground for v in curves["mass_centre_up_m"]],
        somersault=curves["somersault_deg"],
        hip=curves["hip_flexion_deg"],
        knee=curves["knee_flexion_deg"],
        marks={name: t for name, t in marks.items() if t is not None},
    )


def curve_rows(curves: FilmCurves) -> list[dict[str, Any]]:
    """The curves as a short table: the frame nearest to each tenth of a second."""
    if not curves.times:
        return []
    first, last = round(curves.times[0] / STEP), round(curves.times[-1] / STEP)
    rows = []
    for k in range(first, last + 1):
        n = min(range(len(curves.times)), key=lambda n: abs(curves.times[n] - k * STEP))
        rows.append(
            {
                "time": f"{curves.times[n]:.2f}",
                "height": _figure(curves.height[n], 2),
                "somersault": _figure(curves.somersault[n], 0),
                "hip": _figure(curves.hip[n], 0),
                "knee": _figure(curves.knee[n], 0),
            }
        )
    return rows


def _figure(value: float | None, digits: int) -> str:
    return "–" if value is None else f"{value:.{digits}f}".replace("-", "−")


def compare(desk: Desk, first: UUID, second: UUID) -> Compared:
    """Two films of turns, aligned at take-off: the same child two camps apart, or two shapes of hers.

    Raises Refused for two films of two children: nobody is compared with another child.
    """
    one, two = must_be_shown(desk, first), must_be_shown(desk, second)
    if one.athlete is None or two.athlete is None or one.athlete.id != two.athlete.id:
        raise Refused(
            "films of two children",
            "two films of one child",
            "choose two of hers on her page; nobody is compared",
        )
    curves = [curves_of(line.measured, label_of(line)) for line in (one, two)]
    return Compared(
        first=one,
        second=two,
        curves=tuple(each for each in curves if each is not None),
        rows=_beside(one, two),
        invented=one.film.invented or two.film.invented,
    )


def label_of(line: FilmLine) -> str:
    """A film in a few words: the rung and the camp."""
    rung = line.rung.short if line.rung else line.film.name
    camp = f", {line.camp.name} {line.camp.starts:%Y}" if line.camp else ""
    return f"{rung}{camp}"


def _beside(one: FilmLine, two: FilmLine) -> tuple[Beside, ...]:
    rows: Sequence[dict[str, Told]] = [
        {row.name: row for row in reading_rows(line.measured.readings if line.measured else ())}
        for line in (one, two)
    ]
    names = dict.fromkeys((*rows[0], *rows[1]))
    return tuple(Beside(name, rows[0].get(name), rows[1].get(name)) for name in names)
