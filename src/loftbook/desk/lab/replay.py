"""A flight that was recorded or filmed, as the studio's figure: as measured, and as one momentum would turn it.

What the body did with its joints is measured. Beside it stands the same body turned by mechanics alone: three fitted
numbers, the components of its angular momentum. Where both go together, the measurement obeys the laws of flight.
"""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from typing import Any
from uuid import UUID

import numpy as np

from loftbook.desk import Desk
from loftbook.desk.film.answers import must_be_shown
from loftbook.desk.film.engine import REAL
from loftbook.desk.film.finding import find_film
from loftbook.desk.film.flying import flight_seen
from loftbook.desk.film.port import Engine
from loftbook.desk.lab.flying import CAUTION, body_json, curves_json, frames_json
from loftbook.desk.lab.recorded_figure import Figure, Placed, figure_of_pose, figure_of_recording
from loftbook.desk.lab.recording import Recording, read_recording
from loftbook.desk.opening import open_desk
from loftbook.errors import RangeError, Refused
from loftbook.film.posed import CUTOFF, pose_of
from loftbook.mechanics import Turns, body, count_turns, fit_flight
from loftbook.mechanics.arrays import Array
from loftbook.mechanics.fitting import Fit
from loftbook.mechanics.rotation import matrix
from loftbook.units import degrees_from_radians

KIND = "loftbook lab replay"
FRAMES = 61
TRIM = 15  # instants at each end of a recording where contact may not have ended and the smoothing is unsure


def replay_named(flight: str, book: str | Path | None = None) -> dict[str, Any]:
    """A recorded flight by its table's name, or a film of the book by its id or the name of its file."""
    if flight.lower().endswith(".csv"):
        return replay_file(Path(flight))
    desk = open_desk(book, create=False)
    return replay_of_film(desk, find_film(desk, flight).film.id)


def replay_file(file: Path) -> dict[str, Any]:
    """A recorded flight's table as a replay; raises Refused in words for another file."""
    return replay_of_recording(read_recording(file))


def replay_of_recording(one: Recording) -> dict[str, Any]:
    """A recorded flight as JSON values for the studio."""
    try:
        fit = fit_flight(one.motion, trim=TRIM)
    except RangeError as error:
        raise Refused(
            "a recording too short to be flown again", "a flight of a second", "choose another"
        ) from error
    note = f"{TRIM} instants at each end are left out, where she may still touch the bed."
    return _replay(one.name, figure_of_recording(one), fit, note)


def replay_of_film(desk: Desk, clip: UUID, *, engine: Engine = REAL) -> dict[str, Any]:
    """A kept film's flight as JSON values for the studio.

    Raises UnknownThing for no such film, Refused where it may not be shown or too little of her was seen.
    """
    line = must_be_shown(desk, clip)
    seen = flight_seen(desk, clip, engine=engine)
    posed = None if seen is None else pose_of(seen)
    if posed is None:
        raise Refused(
            "a film in which her joints were not followed well enough to fly them again",
            "a flight whose path and pose are not called unsound",
            "put her joints by hand on the film's page, or film again from the side",
        )
    try:
        fit = fit_flight(posed.motion, cutoff=CUTOFF)
    except RangeError as error:
        raise Refused("a flight too short to be flown again", "a whole flight", "film again") from error
    note = (
        "From one camera at the side: left and right are taken to do the same, head and feet as usual, and a twist is "
        "not seen."
    )
    name = (
        f"{line.rung.name}, filmed" if line.rung else "A filmed flight"
    )  # no name of a child goes into a file
    return _replay(name, figure_of_pose(posed), fit, note)


def _replay(name: str, figure: Figure, fit: Fit, note: str) -> dict[str, Any]:
    flight = fit.flight
    at = np.linspace(flight.times[0], flight.times[-1], FRAMES)
    measured, modelled = count_turns(flight), count_turns(replace(flight, orientations=fit.modelled))
    own, angles = figure.at(at), np.degrees(figure.angles_at(at))
    rows = _facing(flight.momentum, own.rotations[0, 0], backward=measured.somersaults >= 0)
    shown, other = _stood(own, rows), _stood(_turned(own, _between(fit, at)), rows)
    times = at - at[0]
    return {
        "kind": KIND,
        "version": 1,
        "name": name,
        "body": _body_json(figure),
        "frames": frames_json(times, angles, shown.origins, shown.rotations, shown.centre),
        "modelled_frames": frames_json(times, angles, other.origins, other.rotations, other.centre),
        "curves": curves_json(flight, measured, at),
        "modelled_curves": curves_json(flight, modelled, at),
        "apart_deg": np.round(np.degrees(np.interp(at, flight.times, fit.residuals)), 1).tolist(),
        "result": _result(figure, fit, measured, note),
        "verdict": {"trust": fit.verdict.trust.value, "sentence": fit.verdict.sentence},
        "caution": CAUTION,
    }


def _body_json(figure: Figure) -> dict[str, Any]:
    """The figure's segments as in a planned flight; they hang in space by themselves and not on their parents."""
    known = body_json(body(figure.stature, "female", age=18.0))
    segments = [
        {**one, "bone_m": [round(float(x), 4) for x in figure.bones[n]], "turns": []}
        for n, one in enumerate(known["segments"])
    ]
    return {"stature_m": figure.stature, "angle_names": list(figure.angle_names), "segments": segments}


def _result(figure: Figure, fit: Fit, measured: Turns, note: str) -> dict[str, Any]:
    way = "backward" if measured.somersaults >= 0 else "forward"
    side = "right" if measured.twists < 0 else "left"
    twists = f" and {abs(measured.twists):.2f} twists to the {side}" if figure.sees_twist else ""
    apart, end = degrees_from_radians(fit.rms), degrees_from_radians(fit.at_landing)
    lasts = fit.flight.times[-1] - fit.flight.times[0]
    return {
        "notation": "",
        "direction": way,
        "somersaults_in_the_air": round(measured.somersaults, 4),
        "twists": round(measured.twists, 4),
        "tilt_at_landing_deg": round(float(np.degrees(measured.tilt[-1])), 2),
        "rms_deg": round(apart, 2),
        "at_end_deg": round(end, 2),
        "sentence": f"As measured: {abs(measured.somersaults):.2f} somersaults {way}{twists} in {lasts:.2f} s. "
        f"Turned by mechanics alone, from the measured shape and one angular momentum, the same body is {apart:.0f}° "
        f"off over the whole flight (root mean square) and {end:.0f}° at the end. {note}",
    }


def _turned(one: Placed, by: Array) -> Placed:
    """The same body turned about its mass centre, (N, 3, 3) in space."""
    away = one.origins - one.centre[:, None]
    return Placed(
        one.centre[:, None] + np.einsum("nij,nsj->nsi", by, away), by[:, None] @ one.rotations, one.centre
    )


def _facing(momentum: Array, pelvis: Array, *, backward: bool) -> Array:
    """(3, 3) rows of the studio's axes: the somersault's axis across, so that backward turns as in a plan."""
    across = np.array([momentum[0], momentum[1], 0.0]) * (1.0 if backward else -1.0)
    size = float(np.linalg.norm(across))
    if size < 1e-9:
        across, size = np.array([pelvis[0, 0], pelvis[1, 0], 0.0]), 1.0
    x = across / size
    return np.stack([x, np.cross([0.0, 0.0, 1.0], x), [0.0, 0.0, 1.0]])


def _stood(one: Placed, rows: Array) -> Placed:
    """Turned to the studio's axes, her way from bed to mat taken out, the lowest joint of all at zero."""
    still = one.centre * [0.0, 0.0, 1.0]
    origins = (one.origins - one.centre[:, None]) @ rows.T + still[:, None]
    down = np.array([0.0, 0.0, float(origins[..., 2].min())])
    return Placed(origins - down, rows @ one.rotations, still - down)


def _between(fit: Fit, at: Array) -> Array:
    from scipy.spatial.transform import Rotation, Slerp

    apart = matrix(fit.modelled) @ np.swapaxes(matrix(fit.flight.orientations), 1, 2)
    found: Array = Slerp(fit.flight.times, Rotation.from_matrix(apart))(at).as_matrix()
    return found
