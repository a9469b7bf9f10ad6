"""Opening a book: its settings, and a sentence for each file that cannot be one."""

import os
import sqlite3
import subprocess
import sys
import tempfile
from pathlib import Path

import pytest
from tests.store import cast

from loftbook.errors import BookFileError
from loftbook.store import database, looking, people, schema
from loftbook.store.database import open_book


def pragma(connection, name):
    return connection.exec_driver_sql(f"PRAGMA {name}").scalar_one()


def test_the_file_is_safe_against_a_dead_battery_and_a_hostile_schema(tmp_path):
    book = open_book(tmp_path / "camp.book")
    with book.read() as connection:
        assert pragma(connection, "journal_mode") == "wal"
        # SQLite documentation, PRAGMA synchronous: 2 is FULL.
        assert pragma(connection, "synchronous") == 2
        assert pragma(connection, "foreign_keys") == 1
        assert pragma(connection, "trusted_schema") == 0
        assert pragma(connection, "secure_delete") == 1
        assert pragma(connection, "busy_timeout") == 5000
    book.close()


@pytest.mark.of_a_file
def test_every_table_of_ours_is_strict(book):
    with book.read() as connection:
        rows = connection.exec_driver_sql("SELECT name, strict FROM pragma_table_list WHERE schema = 'main'")
        loose = {name for name, strict in rows if not strict}
    assert loose <= {"alembic_version", "sqlite_schema"}


def test_a_book_is_made_once_and_found_again(tmp_path):
    path = tmp_path / "camp.book"
    first = open_book(path)
    with first.write() as connection:
        people.add_athletes(connection, [cast.full_athlete()])
    first.close()
    again = open_book(path, create=False)
    with again.read() as connection:
        assert people.athletes(connection) == (cast.full_athlete(),)
    assert again.revision() == 1
    again.close()


@pytest.mark.of_a_file
def test_a_book_in_memory_has_what_the_steps_make_in_a_file(tmp_path):
    """tests/conftest.py copies books in memory: to the last word of the schema they are what a file goes through."""
    dumps = []
    for where in (":memory:", ":memory:", tmp_path / "camp.book"):
        made = open_book(where)
        with made.read() as connection:
            lines = connection.connection.dbapi_connection.iterdump()
            dumps.append(
                [line for line in lines if 'INTO "book"' not in line]
            )  # a book's own line has its own id
        made.close()
    assert dumps[0] == dumps[1] == dumps[2]
    assert sum(line.startswith("CREATE TABLE") for line in dumps[2]) >= len(schema.metadata.tables)


def test_an_empty_file_becomes_a_book(tmp_path):
    path = tmp_path / "camp.book"
    path.touch()
    book = open_book(path)
    assert book.damage() == ()
    book.close()


def refusal(path, **options):
    with pytest.raises(BookFileError) as caught:
        open_book(path, **options)
    text = str(caught.value)
    assert "What to do:" in text
    assert "sqlalche" not in text  # no address of the library's documentation
    return text


def test_a_folder_that_is_not_there(tmp_path):
    assert "does not exist" in refusal(tmp_path / "nowhere" / "camp.book")


def test_a_folder_instead_of_a_file(tmp_path):
    assert "is a folder" in refusal(tmp_path)


def test_no_book_where_one_was_expected(tmp_path):
    assert "There is no book" in refusal(tmp_path / "camp.book", create=False)
    assert "does not exist" in refusal(tmp_path / "nowhere" / "camp.book", create=False)
    assert list(tmp_path.iterdir()) == []
    (tmp_path / "empty.book").touch()
    assert "the file is empty" in refusal(tmp_path / "empty.book", create=False)
    assert (tmp_path / "empty.book").stat().st_size == 0


def test_a_file_of_another_kind(tmp_path):
    path = tmp_path / "list.csv"
    path.write_text("name,birth\n")
    assert "is not a book" in refusal(path)
    assert path.read_text() == "name,birth\n"


def test_a_database_of_another_program_is_left_alone(tmp_path):
    path = tmp_path / "other.db"
    with sqlite3.connect(path) as other:
        other.execute("CREATE TABLE athlete (id TEXT)")
    other.close()
    before = path.read_bytes()
    assert "of another program" in refusal(path)
    assert path.read_bytes() == before


def filled(path):
    book = open_book(path)
    with book.write() as connection:
        people.add_athletes(connection, [cast.athlete(number) for number in range(500)])
    book.close()
    return path


def test_a_damaged_page_is_found_at_opening(tmp_path):
    path = filled(tmp_path / "camp.book")
    data = bytearray(path.read_bytes())
    for start in range(4096 * 4, len(data), 4096):
        data[start : start + 200] = b"\xaa" * 200
    path.write_bytes(data)
    assert "damaged" in refusal(path)


def test_a_book_cut_in_half_is_found_at_opening(tmp_path):
    path = filled(tmp_path / "camp.book")
    data = path.read_bytes()
    path.write_bytes(data[: len(data) // 2])
    assert "damaged" in refusal(path)


def test_damage_says_what_is_wrong(tmp_path):
    path = filled(tmp_path / "camp.book")
    with sqlite3.connect(path) as raw:
        raw.execute("INSERT INTO birth (athlete, born) VALUES ('nobody', '2012-01-01')")
    raw.close()
    book = open_book(path)
    assert book.damage() == ("birth points to no athlete",)
    book.close()


def test_a_book_from_a_newer_loftbook(tmp_path):
    path = filled(tmp_path / "camp.book")
    with sqlite3.connect(path) as raw:
        raw.execute("UPDATE alembic_version SET version_num = '9000'")
    raw.close()
    assert "newer Loftbook" in refusal(path)


def impatient(monkeypatch):
    quick = tuple(line.replace("5000", "50") for line in database._PRAGMAS)
    monkeypatch.setattr(database, "_PRAGMAS", quick)
    monkeypatch.setattr(looking, "PATIENCE", 0.05)


def test_a_book_that_another_program_holds(tmp_path, monkeypatch):
    path = filled(tmp_path / "camp.book")
    impatient(monkeypatch)
    other = sqlite3.connect(path, isolation_level=None)
    other.execute("PRAGMA locking_mode = EXCLUSIVE")
    other.execute("BEGIN EXCLUSIVE")
    try:
        assert "in use by another program" in refusal(path)
    finally:
        other.close()


def test_a_writer_waits_and_then_says_that_the_book_is_in_use(tmp_path, monkeypatch):
    path = filled(tmp_path / "camp.book")
    impatient(monkeypatch)
    other = sqlite3.connect(path, isolation_level=None)
    other.execute("BEGIN IMMEDIATE")
    book = open_book(path)  # opening and reading do not wait for a writer
    try:
        assert book.revision() == 1
        with pytest.raises(BookFileError, match="in use by another program"), book.write():
            pass
    finally:
        other.close()
        book.close()


AS_NOBODY = """
import os, sys
from loftbook.errors import BookFileError
from loftbook.store.database import open_book
open_book(":memory:").close()  # imports what it needs while it may read everything
os.setgid(65534)
os.setuid(65534)
try:
    open_book(sys.argv[1])
except BookFileError as error:
    print(error)
"""


@pytest.mark.skipif(
    not hasattr(os, "geteuid") or os.geteuid() != 0, reason="only root can become another user"
)
@pytest.mark.parametrize("mode", [0o755, 0o777])
def test_a_book_that_may_not_be_written(mode):
    with tempfile.TemporaryDirectory() as name:  # pytest keeps its own folders to the user who runs it
        folder = Path(name)
        path = filled(folder / "camp.book")
        path.chmod(0o444)
        folder.chmod(mode)
        answer = subprocess.run(
            [sys.executable, "-c", AS_NOBODY, path], capture_output=True, text=True, check=True
        )
    assert "can be read but not written" in answer.stdout


def test_a_server_without_its_driver_says_what_to_install(monkeypatch):
    monkeypatch.setitem(sys.modules, "psycopg", None)
    with pytest.raises(BookFileError, match="psycopg"):
        open_book("postgresql://nobody@localhost/none")
