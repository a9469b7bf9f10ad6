"""Recorded flights as values: the reader of plain tables of joints and rotations, and ways to spoil them.

This is the one place of mechanics' checks that asks for files.
"""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from pathlib import Path

import numpy as np

from loftbook.checks.places import real_flights
from loftbook.desk.lab.recording import read_recording, rows_of
from loftbook.mechanics.arrays import Array
from loftbook.mechanics.motion import Motion, without_flips
from loftbook.mechanics.rotation import matrix, unit

TRIM = 15  # instants at each end where contact may not have ended and the smoothing is unsure
FLIGHTS = ("flight-single", "flight-double")


def recorded(name: str) -> Motion:
    """One recorded flight by the name of its file."""
    return _read(real_flights(), name)


@cache
def _read(folder: Path, name: str) -> Motion:
    return read_recording(folder / f"{name}.csv").motion


def eased(motion: Motion) -> Motion:
    """The same poses, played as an animator would: slow out, quick in the middle, slow in."""
    span = motion.times[-1] - motion.times[0]
    u = (motion.times - motion.times[0]) / span
    return _played_at(motion, motion.times[0] + span * u * u * (3 - 2 * u))


def key_framed(motion: Motion, *, every: int = 32) -> Motion:
    """The same flight with only some poses kept and straight lines between them, as in cheap animation."""
    kept = motion.times[::every]
    last = float(kept[-1])
    inside = motion.times <= last
    centres, turned = motion.centres[::every], without_flips(motion.orientations)[::every]
    return replace(
        motion,
        times=motion.times[inside],
        centres=_straight(motion.times[inside], kept, centres),
        orientations=unit(_straight(motion.times[inside], kept, turned)),
    )


def scaled_in_time(motion: Motion, factor: float) -> Motion:
    """The same frames with wrong times, as from a phone that rewrote its frame rate."""
    return replace(motion, times=motion.times * factor)


def _played_at(motion: Motion, moments: Array) -> Motion:
    from scipy.interpolate import CubicSpline

    return replace(
        motion,
        centres=CubicSpline(motion.times, motion.centres)(moments),
        orientations=unit(CubicSpline(motion.times, without_flips(motion.orientations))(moments)),
    )


def _straight(times: Array, knots: Array, values: Array) -> Array:
    k = np.clip(np.searchsorted(knots, times, side="right") - 1, 0, len(knots) - 2)
    u = ((times - knots[k]) / (knots[k + 1] - knots[k]))[:, None, None]
    return np.asarray(values[k] * (1 - u) + values[k + 1] * u)


@cache
def recorded_joints(name: str) -> tuple[Array, dict[str, Array], Array, Array]:
    """Times, joints in space by the names that film uses, mass centre and mean angular momentum of a recorded flight.

    Nose, ears, heels and toes are not in the recording; they are put at usual places of head and foot.
    """
    folder = real_flights()
    rows = rows_of(folder / f"{name}.csv")
    columns = {key: np.array([float(row[key]) for row in rows]) for key in rows[0]}

    def at(part: str) -> Array:
        return np.stack([columns[f"{part}_{a}_m"] for a in "xyz"], -1)

    def turned(part: str, offset: tuple[float, float, float]) -> Array:
        q = unit(np.stack([columns[f"{part}_q{a}"] for a in "wxyz"], -1))
        return np.asarray(at(part) + np.einsum("nij,j->ni", matrix(q), np.array(offset)))

    joints = {"nose": turned("head", (0.0, 0.11, 0.07))}
    names = {
        "shoulder": "upper_arm",
        "elbow": "forearm",
        "wrist": "hand",
        "hip": "thigh",
        "knee": "shank",
        "ankle": "foot",
    }
    for side, out in (("left", -0.07), ("right", 0.07)):
        joints |= {f"{side}_{joint}": at(f"{part}_{side}") for joint, part in names.items()}
        joints[f"{side}_ear"] = turned("head", (out, 0.0, 0.08))
        joints[f"{side}_heel"] = turned(f"foot_{side}", (0.0, -0.05, -0.03))
        joints[f"{side}_toe"] = turned(f"foot_{side}", (0.0, 0.0, -0.15))
    motion = recorded(name)
    from loftbook.mechanics.balance import momentum_balance

    balance = momentum_balance(motion, trim=TRIM)
    centre = np.einsum("s,nsi->ni", motion.fractions / motion.fractions.sum(), motion.centres)
    return motion.times, joints, centre, balance.momenta.mean(axis=0)
