"""Which numbers of other books mean a child or a camp of this one."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from datetime import datetime
from uuid import UUID

import sqlalchemy as sa

from loftbook.store.batches import insert_all
from loftbook.store.erasing import erased_among
from loftbook.store.same_as_table import same_as


def other_numbers(connection: sa.Connection) -> dict[UUID, UUID]:
    """For each number that another book gave to a child the one that she has here."""
    return _known(connection, same_as.c.athlete)


def other_camp_numbers(connection: sa.Connection) -> dict[UUID, UUID]:
    """For each number that another book gave to a camp the one that it has here."""
    return _known(connection, same_as.c.camp)


def numbers_of(connection: sa.Connection, athlete: UUID) -> tuple[UUID, ...]:
    """The numbers by which other books know one child."""
    return tuple(connection.scalars(sa.select(same_as.c.id).where(same_as.c.athlete == athlete)))


def add_numbers(connection: sa.Connection, new: Mapping[UUID, UUID], at: datetime) -> None:
    """Writes down that these numbers of another book mean children of this one."""
    rows = [{"id": one, "athlete": here, "camp": None, "at": at} for one, here in new.items()]
    insert_all(connection, same_as, rows)


def add_camp_numbers(connection: sa.Connection, new: Mapping[UUID, UUID], at: datetime) -> None:
    """Writes down that these numbers of another book mean camps of this one."""
    rows = [{"id": one, "athlete": None, "camp": here, "at": at} for one, here in new.items()]
    insert_all(connection, same_as, rows)


def erased_of(connection: sa.Connection, numbers: Mapping[UUID, Collection[UUID]]) -> set[UUID]:
    """Of these children, each with all her numbers, those who were erased from this book by any of them."""
    gone = erased_among(connection, set().union(*numbers.values()))
    return {who for who, every in numbers.items() if gone & set(every)}


def _known(connection: sa.Connection, column: sa.Column[UUID]) -> dict[UUID, UUID]:
    query = sa.select(same_as.c.id, column.label("here")).where(column.is_not(None))
    return {row.id: row.here for row in connection.execute(query)}
