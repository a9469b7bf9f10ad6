"""What devices send becomes facts: each record once, whatever the network does to it.

A record is answered for itself: stored, duplicate, conflict or refused. The answer
for the same record is the same in any batch, any order, any number of times, over
the network or from a file.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta

from loftbook.book.clocks import Skew, skew_of
from loftbook.desk import Desk
from loftbook.desk.editions import keep_edition_of_devices
from loftbook.desk.sorting import MOST_RECORDS, Answer, Batch, Sorting, row_of
from loftbook.store import attempts, devices, meta, received, standings
from loftbook.store.database import Connection

__all__ = ["MOST_RECORDS", "Answer", "Batch", "Taken", "take_in", "take_in_all"]

HEARD_EVERY = timedelta(minutes=1)  # so often it is noted that a device was heard of


@dataclass(frozen=True)
class Taken:
    """The answers to a batch, in its order, and what its device's clock is thought to be."""

    received_at: datetime
    revision: int
    skew: Skew
    answers: tuple[Answer, ...]


def take_in(desk: Desk, batch: Batch) -> Taken:
    """Keeps one batch."""
    return take_in_all(desk, (batch,))[0]


def take_in_all(desk: Desk, batches: Sequence[Batch]) -> tuple[Taken, ...]:
    """Keeps several batches in one go, each answered for itself; all or nothing is written."""
    now = desk.clock()
    skews = [skew_of(batch.sent_at, now) for batch in batches]
    rows = [
        row_of(place, sent, batch, skew)
        for batch, skew in zip(batches, skews, strict=True)
        for place, sent in enumerate(batch.records)
    ]
    with desk.store.write() as connection:
        sorting = Sorting(desk, connection, now, rows)
        sorting.run()
        _keep(desk, connection, now, sorting)
        for device in {batch.device.id: batch.device for batch in batches if batch.device}.values():
            if device.last_seen is None or now - device.last_seen > HEARD_EVERY:
                devices.seen(connection, device.id, now)
        revision = meta.revision(connection)
    answers = iter([sorting.answers[index] for index in range(len(rows))])
    return tuple(
        Taken(now, revision, skew, tuple(next(answers) for _ in batch.records))
        for batch, skew in zip(batches, skews, strict=True)
    )


def _keep(desk: Desk, connection: Connection, now: datetime, sorting: Sorting) -> None:
    attempts.add_new(connection, sorting.attempts, sorting.withdrawals)
    if sorting.attempts:
        keep_edition_of_devices(connection, desk)
    received.add_received(connection, sorting.received)
    received.put_aside(connection, sorting.aside)
    received.accepted_later(connection, [one.id for one in sorting.received], now)
    changed = [sorting.there[a.replaces] for a in sorting.attempts if a.replaces is not None]
    changed += [sorting.there[w.attempt] for w in sorting.withdrawals]
    touched = {(a.camp, a.athlete) for a in (*sorting.attempts, *changed)}
    # The devices wait for this transaction; where everybody stands is worked out for whoever looks.
    standings.fall_behind(connection, touched)
