"""The desks of those who came in with a key of their own: each sees her camps, or counts, and nothing else."""

from __future__ import annotations

from threading import Lock
from uuid import UUID

from loftbook.book.accounts import Account
from loftbook.desk import Desk
from loftbook.desk.accounts import account_now, desk_for

MOST_DESKS = 50


class AccountDesks:
    """One desk for each account, made when it first asks; asked at every request whether the account stands."""

    def __init__(self, keeper: Desk) -> None:
        self._keeper = keeper
        self._desks: dict[UUID, Desk] = {}
        self._lock = Lock()

    def of(self, account_id: UUID) -> tuple[Account, Desk] | None:
        """The account as it stands now with its desk; None once it has ended."""
        account = account_now(self._keeper, account_id)
        with self._lock:
            desk = self._desks.get(account_id)
            if desk is not None and desk.seen_by != account:
                desk.store.close()
                del self._desks[account_id]
                desk = None
            if account is None:
                return None
            if desk is None:
                desk = self._desks[account_id] = desk_for(self._keeper, account)
                for old in list(self._desks)[:-MOST_DESKS]:
                    self._desks.pop(old).store.close()
        return account, desk
