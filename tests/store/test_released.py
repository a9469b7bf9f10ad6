"""Every book that a released Loftbook ever wrote opens, and its facts are what they were."""

import sqlite3
from uuid import uuid5

import pytest
from tests.store.released.make import HERE, ROWS, SPACE, STEPS, at_step, dumped

from loftbook.store import attempts, camps, clips, people
from loftbook.store.database import MARK, open_book


def test_every_step_is_filed_with_rows_in_every_table():
    """A new step needs `python -m tests.store.released.make`, once, before it is released."""
    assert [file.stem for file in sorted(HERE.glob("*.sql"))] == STEPS
    for step in STEPS:
        text = (HERE / f"{step}.sql").read_text(encoding="utf-8")
        made = {line.split()[2].strip('"') for line in text.splitlines() if line.startswith("CREATE TABLE")}
        filled = {line.split('"')[1] for line in text.splitlines() if line.startswith('INSERT INTO "')}
        assert made == filled, step


@pytest.mark.parametrize("step", STEPS)
def test_the_facts_of_an_old_book_are_the_same_after_opening(tmp_path, step):
    file = tmp_path / "camp.book"
    before = loaded(file, step)
    book = open_book(file, create=False)
    assert book.damage() == ()
    read_by_today_s_code(book)
    book.close()
    after = rows(file)
    for table, (columns, was) in before.items():
        if table != "alembic_version":
            now_columns, now = after[table]
            places = [now_columns.index(column) for column in columns]
            assert [tuple(row[place] for place in places) for row in now] == was, table
    assert after["alembic_version"][1] == [(STEPS[-1],)]


def test_an_old_migration_makes_what_it_made(tmp_path):
    """The frozen files of the migrations, run today, give the filed dump to the letter."""
    for step in (STEPS[0], STEPS[-1]):
        at_step(tmp_path / step, step)
        assert dumped(tmp_path / step) == (HERE / f"{step}.sql").read_text(encoding="utf-8")


def loaded(file, step):
    with sqlite3.connect(file) as raw:
        raw.executescript((HERE / f"{step}.sql").read_text(encoding="utf-8"))
        raw.execute(f"PRAGMA application_id = {MARK}")
    raw.close()
    return rows(file)


def rows(file):
    """Every table's columns and rows, as SQLite itself tells them."""
    with sqlite3.connect(file) as raw:
        names = [name for (name,) in raw.execute("SELECT name FROM sqlite_master WHERE type = 'table'")]
        found = {}
        for name in names:
            told = raw.execute(f'SELECT * FROM "{name}"')
            found[name] = ([column[0] for column in told.description], sorted(told.fetchall(), key=repr))
    raw.close()
    return found


def read_by_today_s_code(book):
    with book.read() as connection:
        everyone = people.athletes(connection)
        assert len(everyone) == ROWS
        assert "\U0001f938" in everyone[0].names[0].given
        ids = [uuid5(SPACE, f"attempt {number}") for number in range(ROWS)]
        turns = attempts.attempts_by_id(connection, ids)
        assert turns.keys() == set(ids)
        assert turns[ids[0]].marks == {"lift": 2}
        assert len(camps.camps(connection)) == ROWS
        assert len(clips.consents_of(connection, [one.id for one in everyone])) in (0, ROWS)
