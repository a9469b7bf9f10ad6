"""Recorded flights as values: the reader of plain tables of joints and rotations, and ways to spoil them.

This is the one place of mechanics' checks that opens files.
"""

from __future__ import annotations

import csv
from dataclasses import replace
from functools import cache
from pathlib import Path

import numpy as np

from loftbook.checks.places import real_flights
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
    segments = _rows(folder / "segments.csv")
    rows = _rows(folder / f"{name}.csv")
    columns = {key: np.array([float(row[key]) for row in rows]) for key in rows[0]}
    parts = [s["segment"] for s in segments]
    joints = np.stack([np.stack([columns[f"{p}_{a}_m"] for a in "xyz"], -1) for p in parts], 1)
    turned = unit(np.stack([np.stack([columns[f"{p}_q{a}"] for a in "wxyz"], -1) for p in parts], 1))
    own = np.array([[float(s[f"com_{a}_m"]) for a in "xyz"] for s in segments])
    return Motion(
        times=columns["time_s"],
        centres=joints + np.einsum("nsij,sj->nsi", matrix(turned), own),
        orientations=turned,
        fractions=np.array([float(s["mass_fraction"]) for s in segments]),
        inertias=np.array([_tensor(s) for s in segments]),
    )


def _rows(path: Path) -> list[dict[str, str]]:
    with path.open(encoding="utf-8", newline="") as lines:
        return list(csv.DictReader(lines))


def _tensor(row: dict[str, str]) -> Array:
    xx, yy, zz, xy, xz, yz = (float(row[f"i{axes}_m2"]) for axes in ("xx", "yy", "zz", "xy", "xz", "yz"))
    return np.array([[xx, xy, xz], [xy, yy, yz], [xz, yz, zz]])


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
    rows = _rows(folder / f"{name}.csv")
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
