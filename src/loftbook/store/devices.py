"""The devices that were let in and the codes that let them in; of secrets only digests."""

from __future__ import annotations

from dataclasses import fields
from datetime import datetime
from typing import Any
from uuid import UUID

import sqlalchemy as sa

from loftbook.book.devices import Device, Pairing
from loftbook.store.batches import insert_all
from loftbook.store.schema import device, pairing

_FIELDS = tuple(field.name for field in fields(Device))
_COLUMNS = tuple(device.c[name] for name in _FIELDS)
_ASKED = tuple(field.name for field in fields(Pairing))
_BY_TOKEN = sa.select(*_COLUMNS).where(device.c.token == sa.bindparam("token"))  # asked at every request


def devices(connection: sa.Connection) -> tuple[Device, ...]:
    """Every device that was ever let in, the newest first."""
    query = sa.select(*_COLUMNS).order_by(device.c.made.desc(), device.c.id)
    return tuple(Device(*row) for row in connection.execute(query))


def device_of_token(connection: sa.Connection, token: str) -> Device | None:
    """The device with that token's digest, whether or not it is still let in."""
    row = connection.execute(_BY_TOKEN, {"token": token}).first()
    return None if row is None else Device(*row)


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
