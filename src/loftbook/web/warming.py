"""What a first flight in the lab would wait for is compiled and loaded beside the pages, once they are served."""

from __future__ import annotations

import threading

from loftbook.desk.lab.answers import warm_up

AFTER = 3.0  # s; the first page is not to wait for it


def begin_warming(after: float = AFTER) -> threading.Timer:
    """Begin a little later and answer at once; a server that ends does not wait for it."""
    timer = threading.Timer(after, warm_up)
    timer.name, timer.daemon = "lab warming", True
    timer.start()
    return timer
