"""Let a head coach read her own camps in a book that she does not hold, and the programme read counts."""

from __future__ import annotations

import os
import secrets
from collections.abc import Collection
from dataclasses import dataclass, replace
from uuid import UUID

from loftbook.book.accounts import Account, Sees, account_name
from loftbook.book.devices import digest
from loftbook.book.identity import uuid7
from loftbook.desk import Desk
from loftbook.desk.devices import has_phrase
from loftbook.desk.standing import catch_up
from loftbook.errors import Refused, UnknownThing
from loftbook.store import accounts, camps
from loftbook.store.separating import lay_policies


@dataclass(frozen=True)
class NewAccount:
    """An account, and the key that is shown once and nowhere kept."""

    account: Account
    key: str


def add_account(desk: Desk, name: str, sees: Sees, *, camps_of: Collection[UUID] = ()) -> NewAccount:
    """A new account with its key; on a server the database's own rules are laid in the same breath.

    Raises Refused where the pages open without a pass phrase, for a name that is taken,
    and for a programme with camps of its own.
    """
    name = account_name(name)
    if not has_phrase(desk):
        raise Refused(
            "a book whose pages open to everybody who reaches them",
            "a pass phrase of whoever keeps the book, before others get keys",
            "set one with: loftbook book phrase",
        )
    if sees is Sees.PROGRAMME and camps_of:
        raise Refused("camps for the programme", "none: it sees counts over all", "leave the camps out")
    key = secrets.token_urlsafe(32)
    now = desk.clock()
    new = Account(uuid7(now, seed=os.urandom(16)), name, sees, now, frozenset(camps_of))
    with desk.store.write() as connection:
        if any(one.name == name and one.stands for one in accounts.accounts(connection)):
            raise Refused(f"an account {name} that is there already", "another name", "nothing was written")
        for camp in new.camps:
            camps.camp(connection, camp)
        lay_policies(connection)
        accounts.add_account(connection, new, digest(key))
    return NewAccount(new, key)


def give_camps(desk: Desk, name: str, hers: Collection[UUID]) -> Account:
    """Makes exactly these camps hers, from this moment."""
    with desk.store.write() as connection:
        found = _standing(accounts.accounts(connection), name)
        if found.sees is Sees.PROGRAMME:
            raise Refused("camps for the programme", "none: it sees counts over all", "leave the camps out")
        for camp in hers:
            camps.camp(connection, camp)
        lay_policies(connection)
        accounts.give_camps(connection, found.id, hers)
    return replace(found, camps=frozenset(hers))


def end_account(desk: Desk, name: str) -> Account:
    """Ends an account: its key opens nothing from this moment."""
    now = desk.clock()
    with desk.store.write() as connection:
        found = _standing(accounts.accounts(connection), name)
        accounts.end_account(connection, found.id, now)
    return replace(found, camps=frozenset(), ended=now)


def all_accounts(desk: Desk) -> tuple[Account, ...]:
    """Every account that there ever was, by name."""
    with desk.store.read() as connection:
        return accounts.accounts(connection)


def account_of_key(desk: Desk, key: str) -> Account | None:
    """The account that a key opens; None for a wrong key, and for one whose account has ended."""
    if not key or len(key) > 100:
        return None
    with desk.store.read() as connection:
        found = accounts.account_of_key(connection, digest(key))
    return found if found is not None and found.stands else None


def account_now(desk: Desk, account_id: UUID) -> Account | None:
    """The account as it stands at this moment; None once it has ended."""
    with desk.store.read() as connection:
        found = accounts.account_of(connection, account_id)
    return found if found is not None and found.stands else None


def desk_for(desk: Desk, account: Account) -> Desk:
    """The desk of an account: its own rows or counts of the same book, read only.

    Findings that fell behind are made anew by the book's keeper before she reads them,
    since they follow from camps which she may not see.
    """
    return replace(
        desk,
        store=desk.store.as_seen_by(account),
        seen_by=account,
        answers={},
        before_reading=lambda: catch_up(desk),
    )


def _standing(everybody: Collection[Account], name: str) -> Account:
    wanted = " ".join(name.split())
    for one in everybody:
        if one.stands and one.name == wanted:
            return one
    raise UnknownThing(f"no account {wanted}", "one that stands", "see them with: loftbook book coach list")
