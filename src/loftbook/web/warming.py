"""What a first flight in the lab would wait for is compiled and loaded beside the pages, once they are served."""

from __future__ import annotations

import threading

from loftbook.desk.lab.answers import warm_up


def begin_warming() -> threading.Thread:
    """Begin at once and answer at once; a server that ends does not wait for it."""
    thread = threading.Thread(target=warm_up, name="lab warming", daemon=True)
    thread.start()
    return thread
