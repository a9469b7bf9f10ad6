"""Who has said the pass phrase or showed a key, until the program ends; and how often something may be tried."""

from __future__ import annotations

import hashlib
import secrets
import time
from collections import OrderedDict, deque
from collections.abc import Callable
from threading import Lock
from uuid import UUID

MOST_KEYS, MOST_TRIERS = 100, 2000
_NOBODY = UUID(int=0)


class Keyring:
    """Tokens of those who said the pass phrase, or whose account's key fitted; digests only, in memory only."""

    def __init__(self) -> None:
        self._digests: OrderedDict[str, UUID | None] = OrderedDict()
        self._lock = Lock()

    def new(self, account: UUID | None = None) -> str:
        """A token for somebody who said the pass phrase, or for an account.

        >>> ring = Keyring()
        >>> ring.fits(ring.new()), ring.fits("guess")
        (True, False)
        """
        token = secrets.token_urlsafe(32)
        with self._lock:
            self._digests[_digest(token)] = account
            while len(self._digests) > MOST_KEYS:
                self._digests.popitem(last=False)
        return token

    def fits(self, token: str) -> bool:
        """Whether that token was given to whoever said the pass phrase, and not taken back."""
        return bool(token) and self._digests.get(_digest(token), _NOBODY) is None

    def account(self, token: str) -> UUID | None:
        """The account that the token was given to; None for any other."""
        return self._digests.get(_digest(token)) if token else None

    def drop(self, token: str) -> None:
        """Takes a token back."""
        with self._lock:
            self._digests.pop(_digest(token), None)

    def drop_all(self) -> None:
        """Takes every token back, as when the pass phrase changes."""
        with self._lock:
            self._digests.clear()


def _digest(token: str) -> str:
    return hashlib.sha256(token.encode()).hexdigest()


class Limit:
    """So many tries in so many seconds for each one who tries.

    >>> limit = Limit(2, 60, clock=lambda: 0.0)
    >>> [limit.wait("tablet") for _ in range(3)]
    [0, 0, 60]
    """

    def __init__(self, most: int, seconds: float, *, clock: Callable[[], float] = time.monotonic) -> None:
        self._most, self._seconds, self._clock = most, seconds, clock
        self._tries: OrderedDict[str, deque[float]] = OrderedDict()
        self._lock = Lock()

    def wait(self, who: str) -> int:
        """Counts a try; 0 if it may be made, else the seconds to wait."""
        now = self._clock()
        with self._lock:
            tries = self._tries.setdefault(who, deque())
            self._tries.move_to_end(who)
            while len(self._tries) > MOST_TRIERS:
                self._tries.popitem(last=False)
            while tries and tries[0] <= now - self._seconds:
                tries.popleft()
            if len(tries) >= self._most:
                return max(1, round(tries[0] + self._seconds - now))
            tries.append(now)
            return 0
