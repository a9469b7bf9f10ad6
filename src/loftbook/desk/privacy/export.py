"""All that is held about one child as one archive: rows as JSON with their layout, her films, her letters, in words."""

from __future__ import annotations

import csv
import io
import json
import tomllib
import zipfile
from collections.abc import Iterator
from importlib.resources import files
from pathlib import Path
from typing import Any
from uuid import UUID

from loftbook.book.naming import naming_of
from loftbook.book.people import Athlete
from loftbook.desk import Desk
from loftbook.desk.batch import childs_pdf
from loftbook.desk.film.places import film_folder_of
from loftbook.desk.privacy.consenting import agreed, word_lines
from loftbook.desk.privacy.leaving import left_the_machine, line_words
from loftbook.desk.standing import up_to_date
from loftbook.store import camps, clips, people
from loftbook.store.holding import Rows, columns_of, held_about

_READINGS = ("clip", "name", "value", "word", "unit", "uncertainty", "trust", "basis")


def all_about(desk: Desk, athlete_id: UUID, to: io.BufferedIOBase | Path) -> Athlete:
    """Writes the archive (zip) of everything about one child; returns whose it is.

    Raises UnknownThing for a child who is not in the book.
    """
    with up_to_date(desk) as connection:
        her = people.athlete(connection, athlete_id)
        coaches = [one.name for one in people.people(connection)]
        held = held_about(connection, athlete_id, naming_of(her, people.athletes(connection), coaches))
        attended = camps.camps_of(connection, [athlete_id])[athlete_id]
        films = clips.films_of(connection, athlete_id)
    with zipfile.ZipFile(to, "w", zipfile.ZIP_DEFLATED) as archive:
        archive.writestr("READ-ME.txt", _read_me(her))
        archive.writestr("held.json", _json(held))
        archive.writestr("layout.json", _json(layout(held)))
        archive.writestr("agreed.txt", "\n".join(word_lines(agreed(desk, athlete_id))) + "\n")
        archive.writestr(
            "left-the-machine.txt", _lines(line_words(one) for one in left_the_machine(desk, athlete_id))
        )
        archive.writestr("readings.csv", _readings(held))
        for camp in attended:
            if any(row["camp"] == str(camp.id) for row in held.get("attempt", ())):
                archive.writestr(
                    f"letters/{camp.starts}.pdf", childs_pdf(desk, "letter", athlete_id, camp.id)
                )
        for film in films:
            for name, file in _files(desk, film):
                archive.write(file, f"films/{film}/{name}", zipfile.ZIP_STORED)
    return her


def archive_of(desk: Desk, athlete_id: UUID) -> bytes:
    """The same as bytes."""
    made = io.BytesIO()
    all_about(desk, athlete_id, made)
    return made.getvalue()


def layout(held: Rows) -> dict[str, Any]:
    """What each table of an export holds: a sentence, and its columns."""
    told = descriptions()
    kinds = {
        "Utc": "moment, ISO 8601, UTC",
        "Day": "day, ISO 8601",
        "Uid": "id",
        "Real": "number, SI units",
        "Doc": "document",
        "Names": "list of texts",
        "Words": "text",
        "Flag": "yes or no",
    }
    return {
        name: {
            "holds": told.get(name, ""),
            "columns": {}
            if name == "named_elsewhere"
            else {column: kinds.get(kind, kind.lower()) for column, kind in columns_of(name).items()},
        }
        for name in held
    }


def descriptions() -> dict[str, str]:
    """A sentence for each table that can hold something about a child."""
    return tomllib.loads(files("loftbook.desk.privacy").joinpath("layout.toml").read_text(encoding="utf-8"))


def _files(desk: Desk, film: UUID) -> Iterator[tuple[str, Path]]:
    if desk.store.path is not None:
        folder = film_folder_of(desk.store.path) / str(film)
        yield from ((one.name, one) for one in sorted(folder.glob("*")) if one.is_file())


def _readings(held: Rows) -> str:
    made = io.StringIO()
    rows = csv.DictWriter(made, _READINGS, extrasaction="ignore")
    rows.writeheader()
    rows.writerows(held.get("reading", ()))
    return made.getvalue()


def _read_me(her: Athlete) -> str:
    return (
        f"Everything that this Loftbook book holds about {her.name.full}.\n\n"
        "held.json             every row about her, by table\n"
        "layout.json           what each table and each column of it is\n"
        "agreed.txt            what was agreed about filming, keeping, sharing and letters\n"
        "left-the-machine.txt  papers, lists, films and backups that left, as far as they were noted\n"
        "readings.csv          numbers measured from her films\n"
        "letters/              the letter of each camp\n"
        "films/                her films as they came, and what was made of each\n\n"
        "Before it is handed over: read the notes in held.json, for somebody may have named another child in one.\n"
    )


def _json(value: object) -> str:
    return json.dumps(value, ensure_ascii=False, indent=2)


def _lines(lines: Iterator[str]) -> str:
    return "\n".join(lines) + "\n"
