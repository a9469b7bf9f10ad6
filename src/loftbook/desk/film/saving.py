"""The time course of a film as a file that other programs open: CSV, Parquet, TRC, C3D."""

from __future__ import annotations

import tempfile
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from uuid import UUID

import numpy as np

from loftbook.desk import Desk
from loftbook.desk.files import write_file
from loftbook.desk.film.answers import must_be_shown
from loftbook.desk.film.engine import REAL
from loftbook.desk.film.measuring import athlete_of, made_from
from loftbook.desk.film.pictures import PICTURES, picture_file
from loftbook.desk.film.places import clip_files
from loftbook.desk.film.port import Engine
from loftbook.errors import ClipError, Refused, UnknownThing
from loftbook.film.exports.table import TimeCourse, course_csv, even, table_of
from loftbook.film.exports.trc import trc_text
from loftbook.store import clips


def course_file(course: TimeCourse, form: str, *, name: str = "film") -> bytes:
    """A time course as the bytes of a file; `form` is one of `FORMS`.

    Raises
        Refused for a form that Loftbook does not write

    Example
        >>> course = TimeCourse(np.arange(2) / 60, np.arange(2), {}, np.zeros((2, 1, 3)), ("nose",), 60.0)
        >>> course_file(course, "csv").splitlines()[0]
        b'frame,time_s,nose_x_m,nose_y_m'
    """
    writer = FORMS.get(form)
    if writer is None:
        raise Refused(
            f"a file of the kind {form!r}", f"one of {', '.join(FORMS)}", "end the file’s name in one of them"
        )
    return writer(course, name)


def course_of_clip(desk: Desk, clip: UUID, *, engine: Engine = REAL) -> TimeCourse:
    """The time course of a kept film, made again from its facts."""
    with desk.store.read() as connection:
        facts = clips.facts(connection, clip)
        athlete = athlete_of(connection, facts)
    return must_have(made_from(desk, facts, athlete, engine=engine).course)


def can_be_saved(to: Path | None) -> None:
    """Refuses a file of a kind that no time course is written as."""
    form = "" if to is None else to.suffix.lstrip(".").lower()
    if to is not None and form not in FORMS:
        raise Refused(
            f"a file of the kind {form!r}", f"one of {', '.join(FORMS)}", "end the file’s name in one of them"
        )


def save_course(course: TimeCourse | None, to: Path) -> None:
    """Writes a time course to a file whose ending says the kind."""
    write_file(to, course_file(must_have(course), to.suffix.lstrip(".").lower(), name=to.stem))


def save_of_clip(desk: Desk, clip: UUID, to: Path) -> None:
    """Writes what a file’s ending asks for of a kept film: its time course, the skeleton film, the strip."""
    form = to.suffix.lstrip(".").lower()
    if form in PICTURES:
        write_file(to, picture_file(desk, clip, form).read_bytes())
    elif form in FORMS:
        save_course(course_of_clip(desk, clip), to)
    else:
        raise Refused(
            f"a file of the kind {form!r}",
            f"one of {', '.join((*FORMS, *PICTURES))}",
            "end the file’s name in one of them",
        )


@dataclass(frozen=True)
class Taken:
    """A file to take along: what it is called, and its bytes or where it lies."""

    name: str
    content: bytes | Path


def taken_along(desk: Desk, clip: UUID, form: str, *, engine: Engine = REAL) -> Taken:
    """The numbers or pictures of a film that may be shown, for somebody to take along."""
    line = must_be_shown(desk, clip)
    name = f"film-{line.film.attached:%Y-%m-%d}-{str(clip)[-6:]}.{form}"  # no child’s name in a file’s name
    if form in PICTURES:
        return Taken(name, picture_file(desk, clip, form, engine=engine))
    return Taken(
        name, course_file(course_of_clip(desk, clip, engine=engine), form, name=name.rsplit(".", 1)[0])
    )


def shown_file(desk: Desk, clip: UUID, which: str) -> Path:
    """Where the copy for the browser lies, of a film that may be shown."""
    must_be_shown(desk, clip)
    file = clip_files(desk, clip).brought(f"{which}.mp4")
    if not file.exists():
        raise UnknownThing(
            "no copy of this film for the browser yet", "one", "wait for its measuring to begin"
        )
    return file


def must_have(course: TimeCourse | None) -> TimeCourse:
    """The time course, or a sentence why there is none."""
    if course is None:
        raise ClipError(
            "no flight in this film, so no time course",
            "a film in which somebody flies",
            "see the reasons beside the verdict",
        )
    return course


def _csv(course: TimeCourse, name: str) -> bytes:  # noqa: ARG001  every writer is called alike
    return course_csv(course).encode()


def _trc(course: TimeCourse, name: str) -> bytes:
    return trc_text(course, f"{name}.trc").encode()


def _parquet(course: TimeCourse, name: str) -> bytes:  # noqa: ARG001
    """Columns as they are, NaN as null. The engine must not fetch anything from anywhere."""
    import duckdb

    course_table = table_of(course)
    columns = ", ".join(
        f'CASE WHEN isnan("{key}") THEN NULL ELSE "{key}" END AS "{key}"'
        if values.dtype.kind == "f"
        else f'"{key}"'
        for key, values in course_table.items()
    )
    offline: dict[str, str | bool | int | float | list[str]] = {
        "autoinstall_known_extensions": "false",
        "autoload_known_extensions": "false",
    }
    with (
        tempfile.TemporaryDirectory() as folder,
        duckdb.connect(":memory:", config=offline) as engine,
    ):
        file = Path(folder) / "course.parquet"
        # The engine finds `course_table` by its name and reads the arrays where they lie.
        engine.execute(f"COPY (SELECT {columns} FROM course_table) TO '{file}' (FORMAT parquet)")  # noqa: S608
        return file.read_bytes()


def _c3d(course: TimeCourse, name: str) -> bytes:  # noqa: ARG001
    """Markers in metres at the film's rate; an unknown one has the residual -1, as the format says.

    Source
        The C3D file format, user guide (Motion Lab Systems), section on invalid points
    """
    import ezc3d

    _, markers = even(course)
    known = np.asarray(np.isfinite(markers).all(axis=-1))
    points = np.ones((4, len(course.names), len(markers)))
    points[:3] = np.where(known[..., None], markers, 0.0).transpose(2, 1, 0)
    made = ezc3d.c3d()
    group = made["parameters"]["POINT"]
    group["UNITS"]["value"] = ["m"]
    group["RATE"]["value"] = [course.rate]
    group["LABELS"]["value"] = list(course.names)
    made["data"]["points"] = points
    made["data"]["meta_points"]["residuals"] = np.where(known.T[None], 0.0, -1.0)
    with tempfile.TemporaryDirectory() as folder:
        file = Path(folder) / "course.c3d"
        made.write(str(file))
        return file.read_bytes()


#: What can be written, by the ending of the file's name.
FORMS: dict[str, Callable[[TimeCourse, str], bytes]] = {
    "csv": _csv,
    "parquet": _parquet,
    "trc": _trc,
    "c3d": _c3d,
}
