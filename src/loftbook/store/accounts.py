"""Accounts: who reads this book without holding it; of keys only digests."""

from __future__ import annotations

from collections.abc import Collection
from datetime import datetime
from uuid import UUID

import sqlalchemy as sa

from loftbook.book.accounts import Account
from loftbook.store.account_tables import account, account_camp
from loftbook.store.batches import insert_all

_COLUMNS = (account.c.id, account.c.name, account.c.sees, account.c.made, account.c.ended)


def accounts(connection: sa.Connection) -> tuple[Account, ...]:
    """Every account that there ever was, by name."""
    return _read(connection, sa.select(*_COLUMNS).order_by(account.c.name, account.c.made, account.c.id))


def account_of_key(connection: sa.Connection, key: str) -> Account | None:
    """The account with that key's digest, whether or not it stands."""
    return next(iter(_read(connection, sa.select(*_COLUMNS).where(account.c.key == key))), None)


def account_of(connection: sa.Connection, account_id: UUID) -> Account | None:
    """The account of that id."""
    return next(iter(_read(connection, sa.select(*_COLUMNS).where(account.c.id == account_id))), None)


def add_account(connection: sa.Connection, new: Account, key: str) -> None:
    """Keeps a new account with its key's digest and its camps."""
    row = {"id": new.id, "name": new.name, "sees": new.sees, "made": new.made, "ended": new.ended, "key": key}
    insert_all(connection, account, [row])
    give_camps(connection, new.id, new.camps)


def give_camps(connection: sa.Connection, account_id: UUID, camps: Collection[UUID]) -> None:
    """Makes exactly these camps hers."""
    connection.execute(sa.delete(account_camp).where(account_camp.c.account == account_id))
    insert_all(connection, account_camp, [{"account": account_id, "camp": camp} for camp in camps])


def end_account(connection: sa.Connection, account_id: UUID, at: datetime) -> None:
    """Ends an account: its key opens nothing, and no camp is hers; that it was there stays written."""
    give_camps(connection, account_id, ())
    connection.execute(sa.update(account).where(account.c.id == account_id).values(ended=at))


def _read(connection: sa.Connection, query: sa.Select[tuple[object, ...]]) -> tuple[Account, ...]:
    rows = connection.execute(query).all()
    hers: dict[UUID, set[UUID]] = {row.id: set() for row in rows}
    c = account_camp.c
    for owner, camp in connection.execute(sa.select(c.account, c.camp).where(c.account.in_(list(hers)))):
        hers[owner].add(camp)
    return tuple(
        Account(
            id=row.id,
            name=row.name,
            sees=row.sees,
            made=row.made,
            camps=frozenset(hers[row.id]),
            ended=row.ended,
        )
        for row in rows
    )
