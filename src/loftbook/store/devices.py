"""The devices that were let in and the codes that let them in; of secrets only digests."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import fields
from datetime import datetime
from functools import lru_cache
from typing import Any
from uuid import UUID

import sqlalchemy as sa
from sqlalchemy.dialects import sqlite

from loftbook.book.devices import Device, Pairing
from loftbook.store.batches import insert_all
from loftbook.store.glancing import Glance
from loftbook.store.schema import device, pairing

_FIELDS = tuple(field.name for field in fields(Device))
_COLUMNS = tuple(device.c[name] for name in _FIELDS)
_ASKED = tuple(field.name for field in fields(Pairing))
_BY_TOKEN = sa.select(*_COLUMNS).where(device.c.token == sa.bindparam("token"))  # asked at every request
_BY_TOKEN_AT_ONCE = str(_BY_TOKEN.compile(dialect=sqlite.dialect()))
#: What makes the value of each of a column as SQLite keeps it.
_READ: tuple[Callable[[Any], Any], ...] = tuple(
    column.type.result_processor(sqlite.dialect(), None) or (lambda value: value) for column in _COLUMNS
)


def devices(connection: sa.Connection) -> tuple[Device, ...]:
    """Every device that was ever let in, the newest first."""
    query = sa.select(*_COLUMNS).order_by(device.c.made.desc(), device.c.id)
    return tuple(Device(*row) for row in connection.execute(query))


def device_of_token(connection: sa.Connection, token: str) -> Device | None:
    """The device with that token's digest, whether or not it is still let in."""
    row = connection.execute(_BY_TOKEN, {"token": token}).first()
    return None if row is None else Device(*row)


def device_at_once(glance: Glance, token: str) -> Device | None:
    """The same by a glance, as the book is at this moment; raises BlockingIOError where there is none."""
    row = glance.row(_BY_TOKEN_AT_ONCE, token)
    return None if row is None else _device(row)


@lru_cache(maxsize=256)
def _device(row: tuple[Any, ...]) -> Device:
    return Device(*(read(value) for read, value in zip(_READ, row, strict=True)))


def add_device(connection: sa.Connection, new: Device, token: str) -> None:
    """Lets a device in, with its token's digest."""
    insert_all(connection, device, [{name: getattr(new, name) for name in _FIELDS} | {"token": token}])


def revoke(connection: sa.Connection, device_id: UUID, at: datetime) -> bool:
    """Shuts a device out from this moment; True if it was let in before."""
    d = device.c
    query = sa.update(device).where(d.id == device_id, d.revoked.is_(None)).values(revoked=at)
    return connection.execute(query.returning(d.id)).first() is not None


def seen(connection: sa.Connection, device_id: UUID, at: datetime) -> None:
    """Notes when a device was last heard of."""
    connection.execute(sa.update(device).where(device.c.id == device_id).values(last_seen=at))


def add_pairing(connection: sa.Connection, new: Pairing, *, secret: str, code: str, until: datetime) -> None:
    """Keeps a code (the digests of both its forms) until it is used or over."""
    row: dict[str, Any] = {name: getattr(new, name) for name in _ASKED}
    insert_all(connection, pairing, [row | {"secret": secret, "code": code, "until": until}])


def use_pairing(connection: sa.Connection, digest: str, now: datetime) -> Pairing | None:
    """What a code lets in, once: it is gone afterwards. None for a wrong, used or old one."""
    p = pairing.c
    connection.execute(sa.delete(pairing).where(p.until <= now))
    query = sa.delete(pairing).where((p.secret == digest) | (p.code == digest))
    row = connection.execute(query.returning(*(p[name] for name in _ASKED))).first()
    return None if row is None else Pairing(*row)
