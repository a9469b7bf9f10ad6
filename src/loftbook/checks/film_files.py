"""What is saved of a film, read back by programs that know nothing of Loftbook."""

from __future__ import annotations

import io
import warnings
from typing import Any

import numpy as np

from loftbook.checks.places import needed
from loftbook.checks.registry import Finding, check
from loftbook.desk.film.saving import course_file
from loftbook.film.exports.table import TimeCourse, table_of
from loftbook.film.track import JOINTS

FRAMES, RATE = 40, 60.0


def _course() -> TimeCourse:
    """A time course with values that are easy to mistake: negative, missing, and each marker another."""
    chance = np.random.default_rng(5)
    markers = chance.normal(size=(FRAMES, len(JOINTS), 3))
    markers[..., 2] = 0.0
    markers[7, 3] = np.nan
    hip = np.linspace(0, 140, FRAMES)
    hip[3] = np.nan
    times = 0.5 + np.arange(FRAMES) / RATE
    return TimeCourse(times, np.arange(30, 30 + FRAMES), {"hip_flexion_deg": hip}, markers, JOINTS, RATE)


def _told(apart: float, within: float, words: str) -> Finding:
    return Finding(got=f"{words}; largest difference {apart:.1e}", holds=bool(apart <= within))


@check(
    name="A C3D file of a film is read back by another library",
    kind="second engine",
    source="written through ezc3d, read through c3d (two libraries without common code)",
    expected="the same labels, rate, unit and markers; the missing one marked by a residual of -1",
    tolerance="1e-6 m: the format keeps single precision",
)
def c3d_read_back() -> Finding:
    """The markers of a time course through two libraries."""
    reader: Any = needed("c3d")
    course = _course()
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")  # no forces were measured, and it says so each time
        found = reader.Reader(io.BytesIO(course_file(course, "c3d")))
        rows = np.array([points for _, points, _ in found.read_frames()])
    known = np.isfinite(course.markers).all(axis=-1)
    same = (
        [label.strip() for label in found.point_labels] == list(course.names)
        and found.point_rate == RATE
        and found.get("POINT:UNITS").bytes.strip() == b"m"
        and bool(((rows[..., 3] >= 0) == known).all())
    )
    apart = float(np.abs(rows[..., :3] - course.markers)[known].max())
    return _told(apart if same else np.inf, 1e-6, f"{len(found.point_labels)} labels, {len(rows)} frames")


@check(
    name="A TRC file of a film is read back by another reader",
    kind="second engine",
    source="written by Loftbook, read by the table reader of pandas",
    expected="the same times and markers, an empty field for the missing one, the count of the head",
    tolerance="1e-6 m and s: six decimals are written",
)
def trc_read_back() -> Finding:
    """The markers of a time course through a plain reader of tables."""
    pandas: Any = needed("pandas")
    course = _course()
    text = course_file(course, "trc").decode()
    lines = text.splitlines()
    head = dict(zip(lines[1].split("\t"), lines[2].split("\t"), strict=True))
    table = pandas.read_csv(io.StringIO(text), sep="\t", skiprows=6, header=None)
    rows = table.iloc[:, 2:].to_numpy(dtype=float).reshape(len(table), -1, 3)
    labels = [name for name in lines[3].split("\t")[2:] if name]
    same = (
        labels == list(course.names)
        and (int(head["NumFrames"]), int(head["NumMarkers"]), head["Units"]) == (FRAMES, len(JOINTS), "m")
        and bool((np.isfinite(rows) == np.isfinite(course.markers)).all())
    )
    known = np.isfinite(course.markers)
    apart = float(np.abs(rows - course.markers)[known].max())
    apart = max(apart, float(np.abs(table[1].to_numpy() - course.times).max()))
    return _told(apart if same else np.inf, 1e-6, f"{len(labels)} markers, {len(table)} frames")


@check(
    name="A Parquet file of a film is read back by another engine",
    kind="second engine",
    source="written through DuckDB, read through fastparquet",
    expected="the same columns and values, nothing where nothing was known",
    tolerance="none: both keep double precision",
)
def parquet_read_back() -> Finding:
    """The table of a time course through two engines."""
    reader: Any = needed("fastparquet")
    course = _course()
    table = reader.ParquetFile(io.BytesIO(course_file(course, "parquet"))).to_pandas()
    wanted = table_of(course)
    same = list(table.columns) == list(wanted) and all(
        np.array_equal(table[name].to_numpy(dtype=float), values.astype(float), equal_nan=True)
        for name, values in wanted.items()
    )
    return Finding(
        got=f"{len(table.columns)} columns, {len(table)} rows, {'the same' if same else 'other'}", holds=same
    )
