"""The join: one plain function for each thing a person asks for.

`web` and `cli` call only this package. A `Desk` holds what a request needs: the
open book, the ladder and the clock.
"""

from __future__ import annotations

from collections.abc import Callable, Hashable
from dataclasses import dataclass, field
from datetime import datetime

from loftbook.book.accounts import Account
from loftbook.ladder.rungs import Ladder
from loftbook.store.database import Store


@dataclass(frozen=True)
class Desk:
    """Everything a request needs, opened once by `desk.opening.open_desk`."""

    store: Store
    ladder: Ladder
    clock: Callable[[], datetime]  # UTC
    ladder_text: str = ""  # the file it was read from, kept with the camps that are marked by it
    ladder_named: bool = False  # named by the coach, and so meant to take the place of the one in use
    seen_by: Account | None = None  # for whom it answers; None: whoever holds the book, who sees all
    #: Makes findings anew that fell behind, for a desk that may not write.
    before_reading: Callable[[], None] | None = field(default=None, compare=False, repr=False)
    #: Answers worked out, each with the book's revision; `desk.keeping` alone reads it.
    answers: dict[Hashable, tuple[int, object]] = field(default_factory=dict, compare=False, repr=False)
