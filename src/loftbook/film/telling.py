"""A measurement as plain values: for JSON, for the clip page, and its time course as a table."""

from __future__ import annotations

from math import isfinite
from typing import Any

import numpy as np

from loftbook.film.bed import FoundLine
from loftbook.film.measurement import FlightSeen, Measurement
from loftbook.film.reading import Reading
from loftbook.mechanics import Verdict
from loftbook.units import degree

COLUMNS = (
    "flight", "frame", "time_s", "time_in_flight_s", "mass_centre_x_m", "mass_centre_up_m", "fall_up_m",
    "somersault_deg", "hip_flexion_deg", "knee_flexion_deg", "arm_deg", "momentum_m2_per_s", "inertia_m2",
    "hands_from_legs_m", "doubtful",
)  # fmt: skip


def as_json(measurement: Measurement) -> dict[str, Any]:
    """A measurement as a dictionary of plain values: verdict with reasons, readings, flights with their times.

    Units
        SI and degrees, as each name says; what is not known is None, never NaN

    Example
        >>> from loftbook.mechanics import Trust
        >>> nobody = Measurement("0" * 64, "none", Verdict(Trust.NONE, "Nobody flew."), ("Nobody flew.",), (), None)
        >>> as_json(nobody)["verdict"]["trust"]
        'none'
    """
    return {
        "digest": measurement.digest,
        "detector": measurement.detector,
        "verdict": {**_verdict(measurement.verdict), "reasons": list(measurement.reasons)},
        "readings": [reading_as_json(r) for r in measurement.readings],
        "main_flight": None if measurement.main is None else measurement.main + 1,
        "flights": [_flight(f) for f in measurement.flights],
    }


def reading_as_json(reading: Reading) -> dict[str, Any]:
    """One reading as plain values.

    Example
        >>> from loftbook.mechanics import Trust
        >>> seen = Verdict(Trust.GOOD, "Seen.")
        >>> reading_as_json(Reading("height", 2.95, "m", 0.02, seen, "gravity", "height/1"))["value"]
        2.95
    """
    return {
        "name": reading.name,
        "value": reading.value,
        "unit": reading.unit,
        "uncertainty": reading.uncertainty,
        "verdict": _verdict(reading.verdict),
        "basis": reading.basis,
        "recipe": reading.recipe,
    }


def time_course(flight: FlightSeen) -> list[dict[str, float | int | bool | None]]:
    """One row a frame, from a little before take-off to a little after landing.

    Units
        as the names of `COLUMNS` say; somersault is the trunk's direction, backward positive, 0 upright; arm 0 hanging,
        180 overhead; fall_up is where gravity puts the mass centre

    Source
        docs/guide/film.md
    """
    course, fall, start = flight.course, flight.fall, flight.leaves.time
    inside = np.flatnonzero(course.between(start - 0.3, flight.lands.time + 0.3))
    t = course.times
    fallen = -0.5 * 9.81 * (t - fall.apex_time) ** 2
    in_air = course.between(start, flight.lands.time)
    columns = {
        "time_s": t,
        "time_in_flight_s": t - start,
        "mass_centre_x_m": course.centre[:, 0],
        "mass_centre_up_m": course.centre[:, 1],
        "fall_up_m": np.where(in_air, fallen, np.nan),
        "somersault_deg": flight.sense.faces * course.trunk / degree,
        "hip_flexion_deg": 180 - course.hip / degree,
        "knee_flexion_deg": 180 - course.knee / degree,
        "arm_deg": course.arm / degree,
        "momentum_m2_per_s": flight.sense.faces * course.momentum,
        "inertia_m2": course.inertia,
        "hands_from_legs_m": course.hands,
    }
    return [
        {
            "flight": flight.number,
            "frame": int(course.frames[n]),
            **{name: _plain(float(values[n])) for name, values in columns.items()},
            "doubtful": bool(course.doubtful[n]),
        }
        for n in inside
    ]


def _flight(flight: FlightSeen) -> dict[str, Any]:
    judged, phases = flight.judged, flight.phases
    return {
        "number": flight.number,
        "takes_off_s": _plain(flight.leaves.time),
        "lands_s": _plain(flight.lands.time),
        "apex_s": _plain(flight.fall.apex_time),
        "faces": "right" if flight.sense.faces > 0 else "left",
        "faces_sure": flight.sense.sure,
        "slowed": judged.slowed,
        "phases": {
            "folded": phases.folded,
            "closing_s": phases.closing,
            "held_s": [float(t) for t in phases.held],
            "opening_s": phases.opening,
        },
        "verdicts": {
            "path": _verdict(judged.path),
            "pose": _verdict(judged.pose),
            "turning": _verdict(judged.turning),
            "momentum": _verdict(judged.momentum),
        },
        "reasons": list(judged.reasons),
        "lines_found": {
            name: _found(one) for name, one in zip(("take_off", "landing"), flight.lines_found, strict=True)
        },
        "way_out": judged.way_out,
        "readings": [reading_as_json(r) for r in flight.readings],
    }


def _found(found: FoundLine | None) -> dict[str, Any] | None:
    """A surface found in the picture, for somebody to confirm or to move."""
    if found is None:
        return None
    line = found.line
    said = "It does not go with the push of the bed and was not used." if found.disputed else "It was used."
    return {
        "ends": [round(v, 1) for v in (line.x0, line.y0, line.x1, line.y1)],
        "spread_px": round(line.spread, 1),
        "confidence": round(found.confidence, 2),
        "used": not found.disputed,
        "says": f"Found in the picture, drawn by nobody. {said} Look whether it lies on the surface.",
    }


def _verdict(verdict: Verdict) -> dict[str, str]:
    return {"trust": str(verdict.trust), "sentence": verdict.sentence}


def _plain(value: float) -> float | None:
    return float(value) if isfinite(value) else None
