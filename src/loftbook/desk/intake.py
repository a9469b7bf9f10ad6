"""One pen for many devices: whoever comes while a batch is written goes into the next write.

A write costs about the same for one batch as for twenty, so nobody waits for a turn
of her own. Each caller gets her own answers, and only after they are kept.
"""

from __future__ import annotations

from collections.abc import Callable
from concurrent.futures import Future, ThreadPoolExecutor
from threading import Lock

from loftbook.desk import Desk
from loftbook.desk.sync import Batch, Taken, take_in_all
from loftbook.errors import BookFileError

#: Calls a function a moment later, as an event loop does.
Soon = Callable[[Callable[[], None]], object]


class Intake:
    """Takes batches in from many devices at once, in one thread of its own."""

    def __init__(self, desk: Desk) -> None:
        self._desk = desk
        self._door = Lock()
        self._waiting: list[_Waiting] = []
        self._pen = ThreadPoolExecutor(1, thread_name_prefix="intake")

    def hand_in(self, batch: Batch, *, soon: Soon | None = None) -> Future[Taken]:
        """Leaves a batch here; the answers come when it is kept, alone or with those that came meanwhile.

        `soon` takes what begins the writing, and calls it when those are read that are
        coming in at this moment; without it the writing begins at once.
        """
        mine = _Waiting(batch)
        with self._door:
            self._waiting.append(mine)
            first = len(self._waiting) == 1
        if first and soon is not None:
            soon(self._begin)
        elif first:
            self._begin()
        return mine.taken

    def _begin(self) -> None:
        self._pen.submit(self._write_those_waiting)

    def take_in(self, batch: Batch) -> Taken:
        """Keeps a batch, and waits for the answers."""
        return self.hand_in(batch).result()

    def _write_those_waiting(self) -> None:
        with self._door:
            group, self._waiting = self._waiting, []
        self._write(group)

    def _write(self, group: list[_Waiting]) -> None:
        try:
            taken = take_in_all(self._desk, [one.batch for one in group])
        except Exception as error:  # told to each of those who wait
            if len(group) > 1 and not isinstance(error, BookFileError):
                for one in group:  # one of them is at fault; the others are not to suffer for it
                    self._write([one])
                return
            for one in group:
                one.taken.set_exception(error)
            return
        for one, answers in zip(group, taken, strict=True):
            one.taken.set_result(answers)


class _Waiting:
    """A batch, and the answers to come."""

    def __init__(self, batch: Batch) -> None:
        self.batch = batch
        self.taken: Future[Taken] = Future()
        self.taken.set_running_or_notify_cancel()  # who hangs up meanwhile cancels nothing
