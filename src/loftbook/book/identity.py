"""Numbers that name a fact: made where the fact is made, the same wherever it goes."""

from __future__ import annotations

import hashlib
from datetime import datetime
from uuid import NAMESPACE_URL, UUID, uuid5

_OURS = uuid5(NAMESPACE_URL, "tag:loftbook,2026:facts")


def uuid7(at: datetime, *, seed: bytes = b"") -> UUID:
    """A number for a new fact that sorts by time (RFC 9562, version 7).

    The 74 free bits come from `seed`, or from the time to the microsecond when
    there is none; devices that make many numbers a second pass random bytes.

    >>> from datetime import UTC
    >>> uuid7(datetime(2026, 4, 11, 9, tzinfo=UTC)).version
    7
    """
    ms = int(at.timestamp() * 1000) & (2**48 - 1)
    free = int.from_bytes(hashlib.sha256(seed or repr(at).encode()).digest()[:10], "big")
    return UUID(int=(ms << 80) | (7 << 76) | (free >> 68 & 0xFFF) << 64 | (2 << 62) | (free & (2**62 - 1)))


def same_fact(*parts: str) -> UUID:
    """A number that the same words always give, so that a list read twice adds nothing.

    >>> same_fact("camp", "child", "rung") == same_fact("camp", "child", "rung")
    True
    """
    return uuid5(_OURS, "\x1f".join(parts))
