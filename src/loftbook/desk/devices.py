"""Let a device in, know it again, shut it out; the coach's pass phrase."""

from __future__ import annotations

import os
import secrets
from dataclasses import dataclass
from datetime import datetime
from uuid import UUID

from argon2 import PasswordHasher
from argon2.exceptions import InvalidHashError, VerificationError

from loftbook.book.access import Role
from loftbook.book.devices import (
    CODE_LASTS,
    GUEST_STAYS,
    STAYS,
    Device,
    Pairing,
    code_of,
    digest,
    plain_code,
    shown_code,
)
from loftbook.book.identity import uuid7
from loftbook.desk import Desk
from loftbook.errors import Refused
from loftbook.store import accounts, devices, meta

_PHRASE, _GUESTS = "pass_phrase", "guests"
SHORTEST_PHRASE, LONGEST_PHRASE = 8, 500


@dataclass(frozen=True)
class Ticket:
    """What lets one device in, once, within five minutes: shown to the head coach and nowhere kept."""

    secret: str  # for the picture
    code: str  # to be typed
    until: datetime
    pairing: Pairing


@dataclass(frozen=True)
class LetIn:
    """A device that was let in, and the token that only it gets to know."""

    device: Device
    token: str


def offer(desk: Desk, pairing: Pairing) -> Ticket:
    """A new code for one device of that role; good for five minutes, and once."""
    if len(pairing.rater) > 200 or len(pairing.name) > 100:
        raise Refused("a name of more than 100 letters", "a short one", "shorten it")
    secret, code, until = (
        secrets.token_urlsafe(32),
        code_of(secrets.token_bytes(16)),
        desk.clock() + CODE_LASTS,
    )
    with desk.store.write() as connection:
        devices.add_pairing(connection, pairing, secret=digest(secret), code=digest(code), until=until)
    return Ticket(secret, shown_code(code), until, pairing)


def let_in(desk: Desk, *, secret: str = "", code: str = "", name: str = "", guest: bool = False) -> LetIn:
    """Lets the device in that shows a secret or a typed code.

    `guest` says that it came over plain http: then only the entry role is let in, only
    where the head coach allows guests, and for a day. Raises Refused for a wrong, used
    or old code; a code that meets a refusal is used up all the same.
    """
    typed = secret or plain_code(code)
    now = desk.clock()
    with desk.store.write() as connection:
        pairing = devices.use_pairing(connection, digest(typed), now) if typed else None
        allowed = not guest or bool(meta.settings(connection).get(_GUESTS, False))
        if pairing is None or not allowed or (guest and pairing.role is not Role.ENTRY):
            refusal: Refused | None = _why_not(pairing, allowed=allowed)
        else:
            refusal, token = None, secrets.token_urlsafe(32)
            device = _device(pairing, name=name, now=now, guest=guest)
            devices.add_device(connection, device, digest(token))
    if refusal is not None:
        raise refusal
    return LetIn(device, token)


def _device(pairing: Pairing, *, name: str, now: datetime, guest: bool) -> Device:
    called = " ".join((pairing.name or name or "a device without a name").split())[:100]
    return Device(
        id=uuid7(now, seed=os.urandom(16)),
        name="".join(letter for letter in called if letter.isprintable()),
        role=pairing.role,
        made=now,
        until=now + (GUEST_STAYS if guest else STAYS),
        rater=pairing.rater,
        second=pairing.second,
        camp=pairing.camp,
        guest=guest,
    )


def _why_not(pairing: Pairing | None, *, allowed: bool) -> Refused:
    if pairing is None:
        return Refused(
            "a code that is wrong, was used, or is older than five minutes",
            "a fresh one",
            "ask the head coach for a new code at the laptop",
        )
    if not allowed:
        return Refused(
            "a device without the certificate",
            "one that has it",
            "install the certificate as the page /hello says, or ask the head coach to allow guests",
        )
    return Refused(
        f"a code for the role {pairing.role.value} over a line that others can read",
        "the entry role",
        "install the certificate first, as the page /hello says, and ask for a new code",
    )


def device_of(desk: Desk, token: str) -> Device | None:
    """The device of that token, whether or not it is still let in; None for an unknown token."""
    if not token or len(token) > 100:
        return None
    with desk.store.read() as connection:
        return devices.device_of_token(connection, digest(token))


def device_at_once(desk: Desk, token: str) -> Device | None:
    """The same for whoever may not wait; raises BlockingIOError where the book cannot be glanced at now."""
    if not token or len(token) > 100:
        return None
    if desk.store.glance is None:
        raise BlockingIOError("this book is in no file")
    return devices.device_at_once(desk.store.glance, digest(token))


def all_devices(desk: Desk) -> tuple[Device, ...]:
    """Every device that was ever let in, the newest first."""
    with desk.store.read() as connection:
        return devices.devices(connection)


def shut_out(desk: Desk, device_id: UUID) -> bool:
    """Shuts a device out at once; what it has not sent stays on it, and can be handed over as a file."""
    with desk.store.write() as connection:
        return devices.revoke(connection, device_id, desk.clock())


def guests_allowed(desk: Desk) -> bool:
    """Whether devices without the certificate may be let in, for entry only."""
    with desk.store.read() as connection:
        return bool(meta.settings(connection).get(_GUESTS, False))


def allow_guests(desk: Desk, *, allowed: bool) -> None:
    """Allows or forbids devices without the certificate; forbidding shuts out those that are in."""
    now = desk.clock()
    with desk.store.write() as connection:
        meta.choose(connection, _GUESTS, allowed)
        if not allowed:
            for one in devices.devices(connection):
                if one.guest and one.stands(now):
                    devices.revoke(connection, one.id, now)


def has_phrase(desk: Desk) -> bool:
    """Whether the laptop asks for a pass phrase."""
    with desk.store.read() as connection:
        return bool(meta.settings(connection).get(_PHRASE))


def set_phrase(desk: Desk, phrase: str) -> None:
    """Makes the laptop ask for this pass phrase; an empty one takes the question away."""
    if phrase and not SHORTEST_PHRASE <= len(phrase) <= LONGEST_PHRASE:
        raise Refused(
            f"a pass phrase of {len(phrase)} letters",
            f"{SHORTEST_PHRASE} to {LONGEST_PHRASE}",
            "take four or five words that nobody would put together",
        )
    made = PasswordHasher().hash(phrase) if phrase else ""
    with desk.store.write() as connection:
        if not phrase and any(one.stands for one in accounts.accounts(connection)):
            raise Refused(
                "accounts of others, who would then come in as whoever keeps the book",
                "a pass phrase as long as there are any",
                "end them first: loftbook book coach end NAME",
            )
        meta.choose(connection, _PHRASE, made)


def is_phrase(desk: Desk, phrase: str) -> bool:
    """Whether that is the pass phrase (argon2id; takes some tenths of a second on purpose)."""
    with desk.store.read() as connection:
        kept = meta.settings(connection).get(_PHRASE)
    if not kept or len(phrase) > LONGEST_PHRASE:
        return False
    try:
        return PasswordHasher().verify(str(kept), phrase)
    except (VerificationError, InvalidHashError):
        return False
