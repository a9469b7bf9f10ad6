"""Writes NNNN.sql for a step that has none yet: a book as that step left it, with rows in every table.

    python -m tests.store.released.make

The statements are SQLite's own dump of a file that the migrations made up to that step, so
that a later change of an old migration is noticed. A file that is there is never written anew.
"""

import sqlite3
import tempfile
from enum import Enum
from pathlib import Path
from uuid import UUID, uuid5

import sqlalchemy as sa
from alembic import command
from alembic.config import Config

from loftbook.store import migrations, schema
from loftbook.store import types as words

HERE = Path(__file__).parent
STEPS = [one.stem[1:5] for one in sorted((Path(migrations.__file__).parent / "versions").glob("r*.py"))]
SPACE = UUID(int=0x10F7)
ROWS = 2  # the first has all that may be null, the second nothing of it
ONE_ROW = {"book"}
SAID = {
    ("book", "number"): 1,
    ("attempt", "marks"): '{"lift": 2}',
    ("home_answer", "items"): "[]",
    ("camp", "raters"): '["H. Alder", "Ö. Coach"]',
    ("height", "metres"): 1.405,
    ("athlete_name", "given"): "Žófie 'O’N' \"q\" \U0001f938",
    ("attempt", "note"): "=cmd(); ליאור;\nsecond line",
}


def at_step(file: Path, step: str) -> None:
    """A book's file as a step leaves it, with its rows."""
    engine = sa.create_engine(sa.URL.create("sqlite", database=str(file)))
    with engine.begin() as connection:
        config = Config()
        config.set_main_option("script_location", str(Path(migrations.__file__).parent))
        config.set_main_option("path_separator", "os")
        config.attributes["connection"] = connection
        command.upgrade(config, step)
        there = sa.inspect(connection)
        for table in schema.metadata.sorted_tables:
            if there.has_table(table.name):
                columns = [one["name"] for one in there.get_columns(table.name)]
                for number in range(1 if table.name in ONE_ROW else ROWS):
                    row = {name: value(table, name, number) for name in columns}
                    names, holes = ", ".join(f'"{name}"' for name in row), ", ".join("?" for _ in row)
                    connection.exec_driver_sql(
                        f'INSERT INTO "{table.name}" ({names}) VALUES ({holes})', tuple(row.values())
                    )
    engine.dispose()


def value(table: sa.Table, name: str, number: int) -> object:
    """What stands in a column of a row, as SQLite keeps it."""
    column = table.c[name]
    if (table.name, name) in SAID:
        return SAID[table.name, name]
    if column.nullable and number:
        return None
    for key in column.foreign_keys:
        target = key.column.table
        return str(uuid5(SPACE, f"{target.name} {number}")) if target is not table else None
    kind = column.type
    if isinstance(kind, words.Key):
        members = list(kind.kind)
        member: Enum = members[number % len(members)]
        return member.value
    samples: dict[type, object] = {
        words.Uid: str(uuid5(SPACE, f"{table.name} {number}")),
        words.Utc: f"2026-04-1{number + 1}T10:30:15.123456Z",
        words.Day: f"2026-04-1{number + 1}",
        words.Doc: '{"said": "Šimić", "n": 1.5}',
        words.Names: '["one", "two"]',
        words.Words: f"{table.name} {name} {number}",
        words.Int: number + 3,
        words.Real: number + 0.25,
        words.Flag: number % 2,
        words.Blob: b"\x00\xff name;born\n",
    }
    return samples.get(type(kind), number + 1)  # the order of writing


def dumped(file: Path) -> str:
    """SQLite's own statements that make such a file."""
    with sqlite3.connect(file) as raw:
        text = "\n".join(raw.iterdump())
    raw.close()
    return text + "\n"


def main() -> None:
    """Files the steps that are not filed yet."""
    for step in STEPS:
        target = HERE / f"{step}.sql"
        if not target.exists():
            with tempfile.TemporaryDirectory() as folder:
                at_step(Path(folder) / "camp.book", step)
                target.write_text(dumped(Path(folder) / "camp.book"), encoding="utf-8")
            print(target.name)


if __name__ == "__main__":
    main()
