"""Recorded flights from plain tables: a marker capture's joints and rotations, instant by instant."""

from __future__ import annotations

import csv
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from loftbook.errors import Refused
from loftbook.mechanics.arrays import Array
from loftbook.mechanics.motion import Motion
from loftbook.mechanics.rotation import matrix, unit

SEGMENTS = "segments.csv"  # lies beside every flight's table
LARGEST = 50_000_000  # bytes of a table
FARTHEST = 1e6  # m or s; a recording in millimetres is told by its stature, past this by its number
TAKE_IN = "a table of joints with segments.csv beside it, as docs/guide/lab.md describes"
LIMBS = tuple(
    f"{part}_{side}"
    for side in ("left", "right")
    for part in ("upper_arm", "forearm", "hand", "thigh", "shank", "foot")
)
NEEDED = ("pelvis", "trunk", "head", *LIMBS)


@dataclass(frozen=True, eq=False)
class Recording:
    """A recorded movement, every segment of it.

    Units
        motion : for mechanics; joints : (N, 3) m by segment, its first joint; turned : (N, 3, 3) by segment, to space
    """

    name: str
    motion: Motion
    joints: Mapping[str, Array]
    turned: Mapping[str, Array]


def read_recording(file: Path) -> Recording:
    """One recorded flight from its table; raises Refused for a table that is not there or holds something else."""
    segments = rows_of(file.parent / SEGMENTS)
    rows = rows_of(file)
    try:
        parts = [one["segment"] for one in segments]
        lost = [part for part in NEEDED if part not in parts]
        if lost:
            raise Refused(f"no segment {lost[0]} in {SEGMENTS}", TAKE_IN, "choose another table")
        columns = {key: _numbers(key, rows) for key in rows[0]}
        joints = np.stack([np.stack([columns[f"{p}_{a}_m"] for a in "xyz"], -1) for p in parts], 1)
        turned = unit(np.stack([np.stack([columns[f"{p}_q{a}"] for a in "wxyz"], -1) for p in parts], 1))
        own = np.array([[float(s[f"com_{a}_m"]) for a in "xyz"] for s in segments])
        fractions = np.array([float(s["mass_fraction"]) for s in segments])
        inertias = np.array([_tensor(s) for s in segments])
        times = columns["time_s"]
    except (KeyError, TypeError, ValueError) as error:
        raise Refused(
            f"a table in which {str(error)[:60]} is missing or no number", TAKE_IN, "choose another table"
        ) from error
    frames = matrix(turned)
    motion = Motion(
        times=times,
        centres=joints + np.einsum("nsij,sj->nsi", frames, own),
        orientations=turned,
        fractions=fractions,
        inertias=inertias,
    )
    return Recording(
        f"Recording {file.stem}",
        motion,
        {part: joints[:, n] for n, part in enumerate(parts)},
        {part: frames[:, n] for n, part in enumerate(parts)},
    )


def rows_of(file: Path) -> list[dict[str, str]]:
    """The rows of a table; raises Refused in words where it cannot be read."""
    try:
        if file.stat().st_size > LARGEST:
            raise Refused(f"{file.name}, larger than any flight", TAKE_IN, "choose another table")
        with file.open(encoding="utf-8", newline="") as lines:
            rows = list(csv.DictReader(lines))
    except (OSError, UnicodeDecodeError, csv.Error) as error:
        raise Refused(
            f"no table {file.name} that can be read", TAKE_IN, "look at the name of the file"
        ) from error
    if not rows:
        raise Refused(f"{file.name} without a row", TAKE_IN, "choose another table")
    for line, row in enumerate(rows, 2):
        if None in row or None in row.values():  # the reader's marks of a row that is too long or too short
            raise Refused(
                f"row {line} of {file.name} with more or fewer values than there are headings",
                TAKE_IN,
                "put the row right",
            )
    return rows


def _numbers(key: str, rows: list[dict[str, str]]) -> Array:
    """A column; raises Refused for what no measurement is, ValueError for what is no number."""
    column = np.array([float(row[key]) for row in rows])
    wrong = ~(np.abs(column) <= FARTHEST)
    if wrong.any():
        raise Refused(
            f"{key} of {column[wrong][0]:g}", f"a number within {FARTHEST:g} either way", "look at the table"
        )
    return column


def _tensor(row: Mapping[str, str]) -> Array:
    xx, yy, zz, xy, xz, yz = (float(row[f"i{axes}_m2"]) for axes in ("xx", "yy", "zz", "xy", "xz", "yz"))
    return np.array([[xx, xy, xz], [xy, yy, yz], [xz, yz, zz]])
