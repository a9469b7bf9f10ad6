"""Row by row: what a coach's account and the programme's can read of each table, on both databases.

One table of rules for both. On PostgreSQL they are policies for two roles that own
nothing and may read only; each transaction of an account runs as one of them
(`SET LOCAL ROLE`). On SQLite they are temporary views on a connection of the account's own, each in
front of the table of its name, and SQLite's authorizer refuses every read of a table that
does not come through its view. A table without a rule cannot be read at all.
"""

from __future__ import annotations

import sqlite3
from collections.abc import Callable, Mapping
from types import MappingProxyType
from uuid import UUID

import sqlalchemy as sa

from loftbook.book.accounts import Account, Sees
from loftbook.errors import BookFileError

_ALL, _NONE = "1 = 1", "1 = 0"
_HERS = "camp IN (SELECT camp FROM account_camp)"
_CHILD = "athlete IN (SELECT id FROM athlete)"
_TURN = "attempt IN (SELECT id FROM attempt)"
_FILM = "clip IN (SELECT id FROM clip)"

#: Which rows of each table a coach's account sees. Inside a rule the other tables are narrowed already.
OF_A_COACH: Mapping[str, str] = MappingProxyType(
    {
        "book": _ALL,
        "ladder_text": _ALL,
        "account_camp": "account = {me}",
        "camp": "id IN (SELECT camp FROM account_camp)",
        **dict.fromkeys(("camp_before", "camp_athlete", "camp_plan", "camp_pair", "count_kept"), _HERS),
        **dict.fromkeys(("attempt", "standing", "visit", "behind", "bed_line", "home_answer"), _HERS),
        "athlete": "id IN (SELECT athlete FROM camp_athlete UNION SELECT athlete FROM attempt)",
        **dict.fromkeys(("birth", "athlete_name", "club_stay", "height", "twist_note"), _CHILD),
        **dict.fromkeys(("film_consent", "consent", "decision"), _CHILD),
        **dict.fromkeys(("withdrawal", "clip", "clip_gone"), _TURN),
        **dict.fromkeys(("track", "clip_point", "clip_said", "film_measured", "reading", "job"), _FILM),
        "set_aside": _HERS,
        # Of the whole book, or of whoever keeps it: secrets, lists as they were typed, logs.
        **dict.fromkeys(("account", "setting", "device", "pairing", "received", "person"), _NONE),
        **dict.fromkeys(("import_file", "pending_import", "gone_out", "gone_out_about"), _NONE),
        # Of her own camps this would tell who came to a later one of somebody else: she counts her own standings.
        **dict.fromkeys(("erased", "same_as", "camp_last"), _NONE),
    }
)
#: Which columns the programme's account sees: what counts are made of. No name, no note, no day of birth.
OF_THE_PROGRAMME: Mapping[str, tuple[str, ...]] = MappingProxyType(
    {
        "book": ("number", "id", "revision"),
        "ladder_text": ("seq", "edition", "dated", "text", "since"),
        "camp": ("id", "starts", "ends", "edition"),
        "standing": ("athlete", "camp", "rung", "state"),
        "visit": ("athlete", "camp"),
        "camp_pair": ("camp", "rung", "before", "alone", "shown"),
        "camp_last": ("camp", "rung", "state", "gymnasts"),
        "behind": ("athlete", "camp"),
    }
)


# SQLite ------------------------------------------------------------------------------


def narrow_file(connection: sqlite3.Connection, seen_by: Account) -> None:
    """Puts the views of an account in front of the tables, and lets nothing else through afterwards."""
    views = dict(_views(seen_by))
    for name, query in views.items():
        connection.execute(f'CREATE TEMP VIEW "{name}" AS {query}')
    connection.set_authorizer(_only_through(frozenset(views)))


def _views(seen_by: Account) -> list[tuple[str, str]]:
    if seen_by.sees is Sees.PROGRAMME:
        told = {name: ", ".join(f'"{one}"' for one in some) for name, some in OF_THE_PROGRAMME.items()}
        return [(name, f'SELECT {columns} FROM main."{name}"') for name, columns in told.items()]  # noqa: S608
    me = f"'{UUID(str(seen_by.id))}'"
    return [
        (name, f'SELECT * FROM main."{name}" WHERE {rule.format(me=me)}')  # noqa: S608  our own words
        for name, rule in OF_A_COACH.items()
    ]


def _only_through(views: frozenset[str]) -> Callable[..., int]:
    plain = {sqlite3.SQLITE_SELECT, sqlite3.SQLITE_FUNCTION, sqlite3.SQLITE_RECURSIVE}

    def allowed(action: int, what: str | None, more: str | None, database: str | None, by: str | None) -> int:
        if action == sqlite3.SQLITE_READ:
            # Of a flattened `count(*)` SQLite says no column and no view: rows are counted then, and none is read.
            fine = database == "temp" or (what in views and (what == by or not more))
        elif action == sqlite3.SQLITE_PRAGMA:
            fine = (what, more) == ("query_only", "ON")
        else:
            fine = action in plain or action == sqlite3.SQLITE_TRANSACTION
        return sqlite3.SQLITE_OK if fine else sqlite3.SQLITE_DENY

    return allowed


# PostgreSQL --------------------------------------------------------------------------

_ME = "nullif(current_setting('loftbook.account', true), '')::uuid"


def narrow_transaction(connection: sa.Connection, seen_by: Account) -> None:
    """Makes the rest of this transaction that of a role which sees what the account may see."""
    role = _quoted(connection, _roles(connection)[seen_by.sees])
    connection.execute(sa.select(sa.func.set_config("loftbook.account", str(seen_by.id), sa.true())))
    connection.exec_driver_sql(f"SET LOCAL ROLE {role}")


def lay_policies(connection: sa.Connection) -> None:
    """Makes the two roles of a database on a server and what they may read; again, where it was done before.

    Whoever opens the book as its owner sees what she saw before. Raises BookFileError
    where the server's user may not make roles.
    """
    if connection.dialect.name != "postgresql":
        return
    roles = _roles(connection)
    for role in roles.values():
        _make_role(connection, role)
    for table in sa.inspect(connection).get_table_names():
        if table in OF_A_COACH:
            name = _quoted(connection, table)
            connection.exec_driver_sql(f"ALTER TABLE {name} ENABLE ROW LEVEL SECURITY")
            rule = OF_A_COACH[table].format(me=_ME)
            _lay(connection, name, roles[Sees.COACH], ("*", rule))
            columns = ", ".join(_quoted(connection, one) for one in OF_THE_PROGRAMME.get(table, ()))
            if columns:
                _lay(connection, name, roles[Sees.PROGRAMME], (columns, _ALL))


def lay_policies_again(connection: sa.Connection) -> None:
    """After new tables were made: the roles of a book that has accounts may read what is theirs of them."""
    if connection.dialect.name == "postgresql":
        roles = sa.text("SELECT count(*) FROM pg_roles WHERE rolname = ANY (:roles)")
        if connection.execute(roles, {"roles": list(_roles(connection).values())}).scalar_one():
            lay_policies(connection)


def _lay(connection: sa.Connection, table: str, role: str, what: tuple[str, str]) -> None:
    columns, rule = what
    who = _quoted(connection, role)
    some = "" if columns == "*" else f" ({columns})"
    for line in (
        f"GRANT SELECT{some} ON {table} TO {who}",
        f"DROP POLICY IF EXISTS {who} ON {table}",
        f"CREATE POLICY {who} ON {table} FOR SELECT TO {who} USING ({rule})",
    ):
        connection.exec_driver_sql(line)


def _make_role(connection: sa.Connection, role: str) -> None:
    who = _quoted(connection, role)
    there = connection.execute(
        sa.text("SELECT 1 FROM pg_roles WHERE rolname = :role"), {"role": role}
    ).first()
    if there is None:
        may = "SELECT rolsuper OR rolcreaterole FROM pg_roles WHERE rolname = current_user"
        if not connection.exec_driver_sql(may).scalar_one():
            raise BookFileError(
                "The server's user may not make roles, and separating camps needs two",
                todo="let whoever runs the server say: ALTER ROLE that user CREATEROLE; nothing was written",
            )
        connection.exec_driver_sql(f"CREATE ROLE {who} NOLOGIN")
    us = connection.exec_driver_sql("SELECT current_user").scalar_one()
    connection.exec_driver_sql(f"GRANT {who} TO {_quoted(connection, us)}")


def _roles(connection: sa.Connection) -> dict[Sees, str]:
    """Roles belong to a whole server: each database has its own two, by its number there."""
    number = connection.exec_driver_sql(
        "SELECT oid FROM pg_database WHERE datname = current_database()"
    ).scalar_one()
    return {one: f"loftbook_{one.value}_{number}" for one in Sees}


def _quoted(connection: sa.Connection, name: str) -> str:
    return connection.dialect.identifier_preparer.quote_identifier(name)
