"""Opens a book: one SQLite file as a rule, one PostgreSQL database for a federation.

SQLite runs with a write-ahead log and full syncing, so that what was acknowledged
survives a dead battery; writers take the lock at once (BEGIN IMMEDIATE).
"""

from __future__ import annotations

import sqlite3
import threading
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import TypeAlias
from uuid import uuid4

import sqlalchemy as sa
from sqlalchemy.pool import StaticPool

from loftbook.book.accounts import Account
from loftbook.errors import Refused
from loftbook.store import meta
from loftbook.store.glancing import Glance
from loftbook.store.looking import look_at
from loftbook.store.separating import lay_policies_again, narrow_file, narrow_transaction
from loftbook.store.server import (
    engine_of,
    is_address,
    look_at_server,
    turn_to_change_tables,
    without_password,
)
from loftbook.store.upgrading import NEWEST, bring_up_to_date, step_of
from loftbook.store.wrapping import in_our_words

#: What `read` and `write` give: one transaction.
Connection: TypeAlias = sa.Connection

MARK = 0x4C6F6674  # "Loft", in the file's header: SQLite's application id
_PRAGMAS = (
    "busy_timeout = 5000",
    "foreign_keys = ON",
    "trusted_schema = OFF",
    "secure_delete = ON",  # a child who is erased leaves no traces in free pages
    "journal_mode = WAL",
    "synchronous = FULL",
    "cache_size = -32000",  # kB; the usual 2 MB is little for a federation's book
)


@dataclass(frozen=True)
class Store:
    """An open book. `read` and `write` give a connection for one transaction."""

    where: str
    engine: sa.Engine
    path: Path | None = None  # None: in memory, or on a server
    glance: Glance | None = None  # for a book in a file
    address: str | None = field(default=None, repr=False)  # of a server, with its password: never shown
    seen_by: Account | None = None  # whose reading this is; None: whoever holds the book, who sees all
    _here: threading.local = field(default_factory=threading.local, repr=False)
    _turn: threading.RLock | None = field(default=None, repr=False)  # memory: one at a time

    @contextmanager
    def read(self) -> Iterator[sa.Connection]:
        """A view of the book that does not change while it is used.

        Inside another `read` or `write` of the same thread it is that one's connection.
        """
        with self._transaction("read") as connection:
            yield connection

    @contextmanager
    def write(self) -> Iterator[sa.Connection]:
        """All or nothing: what is written inside is kept when the block ends well.

        The book's revision goes up by one. A `write` inside a `write` joins it; one
        inside a `read` is refused, since what was read may have changed by then, and so is
        one inside a `note`, which would not be counted.
        """
        with self._transaction("write") as connection:
            yield connection

    @contextmanager
    def note(self) -> Iterator[sa.Connection]:
        """A write that no answer depends on, such as how far a job is: the book's revision stays as it is."""
        with self._transaction("note") as connection:
            yield connection

    def as_seen_by(self, account: Account) -> Store:
        """The same book as an account may read it: its own rows or counts, and nothing can be written.

        In a file it has connections of its own, to be closed with it; in memory there
        can be none, which is Refused.
        """
        if self.engine.dialect.name == "postgresql":
            engine = self.engine
        elif self.path is None:
            raise Refused("a book in memory, which nobody else can read", "a book in a file or on a server")
        else:
            engine = _sqlite_engine(self.engine.url, seen_by=account)
        return replace(self, engine=engine, seen_by=account, glance=None, _here=threading.local(), _turn=None)

    def backup(self, to: str | Path) -> Path:
        """A checked copy of the book as it is now, while others go on writing."""
        from loftbook.store.backups import copy_of

        return copy_of(self, Path(to))

    def revision(self) -> int:
        """How many write transactions the book has seen."""
        with self.read() as connection:
            return meta.revision(connection)

    def damage(self) -> tuple[str, ...]:
        """What a full check of the file finds wrong; empty for a sound book."""
        if self.engine.dialect.name != "sqlite":
            return ()
        with self.read() as connection:
            return integrity(connection)

    def close(self) -> None:
        """Gives the file back."""
        if self.glance is not None:
            self.glance.close()
        if self.seen_by is None or self.engine.dialect.name == "sqlite":
            self.engine.dispose()  # on a server an account reads through its keeper's line

    def tidy(self) -> None:
        """Moves everything from the log into the file, so that what was erased is gone from both."""
        if self.engine.dialect.name == "sqlite":
            self.alone("PRAGMA wal_checkpoint(TRUNCATE)")

    def alone(self, statement: str, *values: str) -> None:
        """Runs a statement of SQLite that must stand outside any transaction."""
        self._refuse_an_account()
        with in_our_words(self.where), _held(self._turn), self.engine.connect() as connection:
            connection.execution_options(loftbook_kind="alone").exec_driver_sql(statement, values)

    @contextmanager
    def _transaction(self, kind: str) -> Iterator[sa.Connection]:
        if kind != "read":
            self._refuse_an_account()
        outer: tuple[sa.Connection, str] | None = getattr(self._here, "now", None)
        if outer is not None:
            if _WEIGHT[kind] > _WEIGHT[outer[1]]:
                raise RuntimeError(f"a {kind} inside a {outer[1]}: open the {kind} first")
            yield outer[0]
            return
        with in_our_words(self.where), _held(self._turn), self.engine.connect() as plain:
            connection = plain.execution_options(**_options(self.engine, kind))
            with connection.begin():
                if self.seen_by is not None and self.engine.dialect.name == "postgresql":
                    narrow_transaction(connection, self.seen_by)
                self._here.now = (connection, kind)
                try:
                    if kind == "write":
                        meta.bump(connection)
                    yield connection
                finally:
                    self._here.now = None

    def _refuse_an_account(self) -> None:
        if self.seen_by is not None:
            raise Refused(
                f"a write for the account {self.seen_by.name}",
                "reading",
                "write in a book of your own and let it be merged, or ask whoever keeps this book",
            )


_WEIGHT = {"read": 0, "note": 1, "write": 2}  # a lighter one may stand inside a heavier one


def _options(engine: sa.Engine, kind: str) -> dict[str, str | bool]:
    if engine.dialect.name == "sqlite":
        return {"loftbook_kind": kind}
    if kind != "read":
        return {"isolation_level": "READ COMMITTED"}
    return {"isolation_level": "REPEATABLE READ", "postgresql_readonly": True}


@contextmanager
def _held(turn: threading.RLock | None) -> Iterator[None]:
    if turn is None:
        yield
    else:
        with turn:
            yield


def open_book(where: str | Path, *, create: bool = True) -> Store:
    """The book in a file, in memory (``":memory:"``), or at a ``postgresql://`` address.

    A new file is made where there is none (unless `create` is False); an older book
    is brought up to date. Raises `BookFileError`, with what to do, for a file that is
    damaged, foreign, from a newer Loftbook, locked, or may not be written.

    >>> book = open_book(":memory:")
    >>> book.revision()
    0
    >>> book.close()
    """
    if is_address(where):
        store = Store(without_password(where), engine_of(where), address=where)
    elif str(where) == ":memory:":
        store = _in_memory()
    else:
        path = Path(where).expanduser().absolute()
        look_at(path, mark=MARK, create=create)
        engine = _sqlite_engine(sa.URL.create("sqlite", database=str(path)))
        store = Store(str(path), engine, path, Glance(path))
    try:
        with in_our_words(store.where):
            _prepare(store, create=create)
    except BaseException:
        store.close()
        raise
    return store


def integrity(connection: sa.Connection) -> tuple[str, ...]:
    """What SQLite's own check finds wrong: pages, indexes, and rows that point nowhere."""
    pages = [str(row[0]) for row in connection.exec_driver_sql("PRAGMA integrity_check")]
    lost = [
        f"{row[0]} points to no {row[2]}" for row in connection.exec_driver_sql("PRAGMA foreign_key_check")
    ]
    return tuple([line for line in pages if line != "ok"] + lost)


def _sqlite_engine(url: str | sa.URL, *, seen_by: Account | None = None, **options: object) -> sa.Engine:
    engine = sa.create_engine(url, **options)

    @sa.event.listens_for(engine, "connect")
    def _settle(connection: sqlite3.Connection, _: object) -> None:
        connection.isolation_level = None  # we say BEGIN ourselves
        for pragma in _PRAGMAS:
            connection.execute(f"PRAGMA {pragma}")
        if seen_by is not None:
            narrow_file(connection, seen_by)

    @sa.event.listens_for(engine, "begin")
    def _begin(connection: sa.Connection) -> None:
        kind = connection.get_execution_options().get("loftbook_kind", "read")
        connection.exec_driver_sql(f"PRAGMA query_only = {'ON' if kind == 'read' else 'OFF'}")
        if kind != "alone":
            connection.exec_driver_sql("BEGIN" if kind == "read" else "BEGIN IMMEDIATE")

    return engine


def _in_memory() -> Store:
    engine = _sqlite_engine("sqlite://", poolclass=StaticPool, connect_args={"check_same_thread": False})
    return Store("in memory", engine, _turn=threading.RLock())


def _prepare(store: Store, *, create: bool) -> None:
    """Brings tables up to date and gives a new book its id."""
    lite = store.engine.dialect.name == "sqlite"
    with store.engine.connect() as connection:
        if step_of(connection) == NEWEST:
            return
        if not lite:
            look_at_server(connection, store.where, create=create)
    with store.engine.connect().execution_options(loftbook_kind="write") as connection, connection.begin():
        if not lite:
            turn_to_change_tables(connection, MARK)
        bring_up_to_date(connection, store.where)
        lay_policies_again(connection)
        if lite:
            connection.exec_driver_sql(f"PRAGMA application_id = {MARK}")
        meta.name_the_book(connection, uuid4())
