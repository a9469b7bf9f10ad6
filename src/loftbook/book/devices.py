"""The tablets and phones that were let in, and the short-lived codes that let them in.

Values only. No secret is ever in one of them: the book keeps digests.
"""

from __future__ import annotations

import hashlib
from dataclasses import dataclass
from datetime import datetime, timedelta
from uuid import UUID

from loftbook.book.access import Role

#: How long a pairing code is good for.
CODE_LASTS = timedelta(minutes=5)
#: How long a device stays let in: with a certificate, and without one.
STAYS, GUEST_STAYS = timedelta(days=90), timedelta(hours=18)
#: Letters of a typed code: none that looks or sounds like another.
LETTERS = "23456789ABCDEFGHJKMNPQRSTVWXYZ"
CODE_LENGTH = 6


@dataclass(frozen=True)
class Device:
    """A device that was let in: for which role, who marks with it, until when."""

    id: UUID
    name: str
    role: Role
    made: datetime
    until: datetime
    rater: str = ""
    second: bool = False  # it marks beside another, without seeing those marks
    camp: UUID | None = None  # whose day it gets; None: the latest camp
    guest: bool = False  # let in over plain http
    revoked: datetime | None = None
    last_seen: datetime | None = None

    def stands(self, now: datetime) -> bool:
        """Whether it is still let in."""
        return self.revoked is None and now < self.until


@dataclass(frozen=True)
class Pairing:
    """What a code lets in: a device of which role, for whom, for which camp."""

    role: Role
    rater: str = ""
    second: bool = False
    camp: UUID | None = None
    name: str = ""


def digest(secret: str) -> str:
    """What the book keeps of a secret: its SHA-256.

    Enough for long random tokens, which nobody can guess; a pass phrase gets argon2id.

    >>> digest("abc")[:8]
    'ba7816bf'
    """
    return hashlib.sha256(secret.encode()).hexdigest()


def code_of(chance: bytes) -> str:
    """A short code from random bytes, to be read aloud and typed.

    >>> code_of(bytes(range(6)))
    '234567'
    """
    return "".join(LETTERS[byte % len(LETTERS)] for byte in chance[:CODE_LENGTH])


def plain_code(typed: str) -> str:
    """A typed code without spaces and dashes, in capitals.

    >>> plain_code(" k7m-3qx ")
    'K7M3QX'
    """
    return "".join(letter for letter in typed.upper() if letter.isalnum())


def shown_code(code: str) -> str:
    """A code in two groups, as it is shown.

    >>> shown_code("K7M3QX")
    'K7M-3QX'
    """
    return f"{code[: CODE_LENGTH // 2]}-{code[CODE_LENGTH // 2 :]}"
