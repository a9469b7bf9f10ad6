"""What was measured, as plain values: for JSON on a terminal and for programs."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from loftbook.book.films import points_in_force
from loftbook.desk.film.answers import FilmAnswer, TrackAnswer
from loftbook.desk.film.eyes import eyes_told
from loftbook.desk.film.made import usual_keys
from loftbook.desk.film.measuring import FileMeasured
from loftbook.film.reading import Reading
from loftbook.film.telling import reading_as_json
from loftbook.mechanics.flight import Verdict
from loftbook.store.jobs import Job
from loftbook.store.readings import FilmMeasured


def file_told(measured: FileMeasured, name: str, eyes: str = "") -> dict[str, Any]:
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
        "eyes": eyes_told(measured.track.detector, eyes),
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


def film_told(answer: FilmAnswer) -> dict[str, Any]:
    """A film’s page for programs: the film, the work on it, what people said, what was measured.

    The contract is filed in tests/contracts/film.json.
    """
    line, facts, file = answer.line, answer.facts, answer.file
    shown = not line.withheld
    return {
        "film": {
            "id": str(line.film.id),
            "name": line.film.name,
            "station": line.film.station,
            "keep_until": line.film.keep_until.isoformat(),
            "width": file.get("width"),
            "height": file.get("height"),
            "frames": file.get("frames"),
            "rate": file.get("rate"),
            "seconds": file.get("length"),
            "notes": file.get("notes", []),
            "proxy": f"/film/{line.film.id}/proxy.mp4" if shown else None,
            "withheld": line.withheld,
        },
        "job": job_told(line.job),
        "facts": {
            "bed": list(facts.bed.scaled(file["width"], file["height"])) if facts.bed else None,
            "speed": facts.said.get("speed", 1),
            "flight": facts.said.get("flight"),
            "at": facts.said.get("at"),
            "points": [
                {"frame": p.frame, "joint": p.joint, "x": p.x, "y": p.y}
                for p in points_in_force(facts.points)
            ],
        },
        "measured": finding_told(line.measured) if line.measured else None,
        "keys": _keys(answer),
        "missing": list(answer.missing),
    }


def _keys(answer: FilmAnswer) -> list[dict[str, Any]]:
    kept = answer.line.measured.told.get("keys") if answer.line.measured else None
    return list(kept or usual_keys(range(int(answer.file.get("frames", 1)))))


def job_told(job: Job | None) -> dict[str, Any] | None:
    """How far the work on a film is."""
    if job is None:
        return None
    return {
        "id": str(job.id),
        "state": job.state.value,
        "over": job.state.is_over,
        "share": job.share,
        "says": job.says,
        "error": job.error,
    }


def track_told(track: TrackAnswer) -> dict[str, Any]:
    """A track for drawing over the film."""
    return dict(vars(track))
