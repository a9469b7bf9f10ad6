"""What was measured, as plain values: for JSON on a terminal and for programs."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from loftbook.desk.film.measuring import FileMeasured
from loftbook.film.reading import Reading
from loftbook.film.telling import reading_as_json
from loftbook.mechanics.flight import Verdict
from loftbook.store.readings import FilmMeasured


def file_told(measured: FileMeasured, name: str) -> dict[str, Any]:
    """A measured file: the verdict with its reasons, the readings by name, the flights."""
    clip, made = measured.clip, measured.made
    return {
        "file": name,
        "clip": {
            "digest": clip.digest,
            "frames": clip.frames,
            "rate": clip.rate,
            "seconds": float(clip.times[-1]),
            "width": clip.width,
            "height": clip.height,
            "codec": clip.codec,
            "turned": clip.turned,
            "notes": list(clip.notes),
        },
        "detector": measured.track.detector,
        "track_notes": list(measured.track.notes),
        **_told(made.verdict, made.reasons, made.readings, made.told),
        "recipe": made.recipe,
    }


def finding_told(found: FilmMeasured) -> dict[str, Any]:
    """What a book keeps of a film, in the same form."""
    told = _told(found.verdict, found.reasons, found.readings, found.told)
    return told | {"recipe": found.recipe, "curves": found.told.get("curves")}


def _told(
    verdict: Verdict, reasons: Sequence[str], readings: Sequence[Reading], told: Mapping[str, Any]
) -> dict[str, Any]:
    return {
        "verdict": {
            "trust": str(verdict.trust),
            "sentence": verdict.sentence,
            "reasons": list(reasons),
        },
        "readings": [reading_as_json(one) for one in readings],
        "main_flight": told.get("main_flight"),
        "chosen_flight": told.get("chosen_flight"),
        "speed": told.get("speed"),
        "flights": [
            {key: value for key, value in flight.items() if key != "readings"}
            for flight in told.get("flights", ())
        ],
    }
