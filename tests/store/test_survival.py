"""What was acknowledged survives: killed writers, and backups while others write."""

import sqlite3
import subprocess
import sys
import threading
import time
from pathlib import Path
from random import Random
from uuid import UUID

import pytest
from tests.store import cast

from loftbook.errors import BookFileError
from loftbook.store import attempts, backups, camps, people
from loftbook.store.database import open_book

ROOT = Path(__file__).resolve().parents[2]

WRITER = """
import sys
sys.path.insert(0, sys.argv[2])
from tests.store import cast
from loftbook.store import attempts
from loftbook.store.database import open_book
book = open_book(sys.argv[1])
for number in range(int(sys.argv[3]), 1_000_000):
    turn = cast.full_attempt(number)
    with book.write() as connection:
        attempts.add_attempts(connection, [turn])
    print(turn.id, flush=True)
"""


@pytest.fixture
def path(tmp_path):
    book = open_book(tmp_path / "camp.book")
    with book.write() as connection:
        people.add_athletes(connection, [cast.athlete(1)])
        camps.add_camp(connection, cast.camp(1))
    book.close()
    return tmp_path / "camp.book"


def kept(path):
    book = open_book(path)
    with book.read() as connection:
        found = {turn.id for turn in attempts.attempts_of_camp(connection, cast.camp(1).id)}
    assert book.damage() == ()
    book.close()
    return found


def test_a_writer_killed_in_mid_write_loses_no_acknowledged_turn(path):
    """Five writers one after another are killed without warning (SIGKILL) at a chance moment."""
    chance, acknowledged = Random(7), set()
    for run in range(5):
        command = [sys.executable, "-c", WRITER, path, ROOT, str(run * 100_000)]
        with subprocess.Popen(command, stdout=subprocess.PIPE, text=True) as writer:
            acknowledged.add(UUID(writer.stdout.readline().strip()))
            time.sleep(chance.uniform(0.05, 0.4))
            writer.kill()
            # A line that was cut off by the kill was not acknowledged.
            whole = [line for line in writer.stdout.read().splitlines(keepends=True) if line.endswith("\n")]
            acknowledged |= {UUID(line.strip()) for line in whole}
        assert acknowledged <= kept(path)
    assert len(acknowledged) >= 10


def test_a_backup_taken_while_somebody_writes_is_whole(path):
    book, stop = open_book(path), threading.Event()

    def write():
        number = 0
        while not stop.is_set():
            with book.write() as connection:  # always in twos: half of two would be a torn copy
                attempts.add_attempts(connection, [cast.attempt(number), cast.attempt(number + 1)])
            number += 2

    writer = threading.Thread(target=write)
    writer.start()
    try:
        sizes = []
        for number in range(4):
            time.sleep(0.1)
            copy = book.backup(path.with_name(f"copy {number}.book"))
            sizes.append(len(kept(copy)))
    finally:
        stop.set()
        writer.join()
    assert all(size % 2 == 0 for size in sizes)
    assert sizes == sorted(sizes)
    assert 0 < sizes[-1] <= len(kept(path))
    book.close()


def test_a_backup_takes_the_place_of_an_older_one_and_leaves_no_draft(path):
    book = open_book(path)
    copy = book.backup(path.with_name("copy.book"))
    with book.write() as connection:
        attempts.add_attempts(connection, [cast.attempt(1)])
    assert book.backup(copy) == copy
    assert kept(copy) == {cast.attempt(1).id}
    book.close()
    assert {file.name for file in path.parent.iterdir() if not file.name.endswith(("-wal", "-shm"))} == {
        "camp.book",
        "copy.book",
    }


@pytest.mark.of_a_file
def test_a_book_in_memory_can_be_backed_up(book, tmp_path):
    copy = open_book(book.backup(tmp_path / "copy.book"))
    with copy.read() as connection:
        assert len(people.athletes(connection)) == 8
    copy.close()


def test_a_copy_that_fails_its_check_never_gets_the_name(path, monkeypatch):
    book = open_book(path)
    copy = book.backup(path.with_name("copy.book"))
    before = copy.read_bytes()

    def spoil(draft):
        with sqlite3.connect(draft) as raw:
            raw.execute("PRAGMA writable_schema = ON")
            raw.execute("UPDATE sqlite_master SET rootpage = 3 WHERE name = 'attempt'")
        raw.close()

    real = backups._check
    monkeypatch.setattr(backups, "_check", lambda draft: (spoil(draft), real(draft)))
    with pytest.raises(BookFileError, match="copy is damaged"):
        book.backup(copy)
    book.close()
    assert copy.read_bytes() == before
    assert not list(path.parent.glob(".copy*"))


@pytest.mark.parametrize(
    ("where", "words"), [("nowhere/copy.book", "does not exist"), ("camp.book", "itself")]
)
def test_places_where_no_backup_can_go(path, where, words):
    book = open_book(path)
    with pytest.raises(BookFileError, match=words):
        book.backup(path.parent / where)
    book.close()
