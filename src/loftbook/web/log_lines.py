"""What a server writes down of itself: one line of JSON for each request and each fault, and nobody's name in it.

A line has the address as a pattern (`/athletes/{athlete_id}`), never as it was called, no query, no
cookie, no body, no client. Of a fault it has the kind and the lines of code it went through, not its
message: messages quote what was typed.
"""

from __future__ import annotations

import json
import logging
import sys
import time
import traceback
from collections.abc import Callable
from datetime import UTC, datetime
from pathlib import PurePath
from typing import Any, TypeAlias

from starlette.types import ASGIApp, Message, Receive, Scope, Send
from uvicorn.config import LOGGING_CONFIG

from loftbook.web.access import door_of

Write: TypeAlias = Callable[[dict[str, Any]], object]
#: Whose messages are fixed words; of everybody else only the place is kept.
_PLAIN_SPOKEN = frozenset({"uvicorn", "uvicorn.error"})


def to_standard_output(told: dict[str, Any]) -> None:
    """Writes one line, with the moment in front."""
    line = {"at": datetime.now(UTC).isoformat(timespec="milliseconds")} | told
    sys.stdout.write(json.dumps(line, ensure_ascii=True) + "\n")
    sys.stdout.flush()


class RequestLines:
    """Writes a line for each request when its answer is out."""

    def __init__(self, app: ASGIApp, *, write: Write) -> None:
        self._app, self._write = app, write

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Let the request through, and write down how it went."""
        if scope["type"] != "http":
            await self._app(scope, receive, send)
            return
        began, status = time.perf_counter(), 500

        async def sending(message: Message) -> None:
            nonlocal status
            if message["type"] == "http.response.start":
                status = message["status"]
            await send(message)

        try:
            await self._app(scope, receive, sending)
        except Exception as fault:
            self._write({"event": "fault", **_kind_and_place(fault)})
            raise
        finally:
            self._write(
                {
                    "event": "request",
                    "method": scope["method"] if scope["method"] in _METHODS else "other",
                    "route": getattr(scope.get("route"), "path", "none"),
                    "status": status,
                    "ms": round((time.perf_counter() - began) * 1000, 1),
                    "door": door_of(scope).value,
                }
            )


_METHODS = frozenset({"GET", "HEAD", "POST", "PUT", "PATCH", "DELETE", "OPTIONS"})


def _kind_and_place(fault: BaseException) -> dict[str, Any]:
    frames = traceback.extract_tb(fault.__traceback__)[-12:]
    return {
        "kind": type(fault).__name__,
        "went_through": [f"{PurePath(one.filename).name}:{one.lineno} {one.name}" for one in frames],
    }


class Nameless(logging.Handler):
    """Takes what libraries log: fixed words as they are, everything else as its place alone."""

    def __init__(self, write: Write) -> None:
        super().__init__(logging.INFO)
        self._write = write

    def emit(self, record: logging.LogRecord) -> None:
        """Write one line of it."""
        told: dict[str, Any] = {"event": "log", "level": record.levelname.lower(), "by": record.name}
        told["place"] = f"{record.module}:{record.lineno}"
        if record.name in _PLAIN_SPOKEN and not record.args and not record.exc_info:
            told["says"] = str(record.msg).splitlines()[0][:200]
        if record.exc_info and record.exc_info[1] is not None:
            told |= _kind_and_place(record.exc_info[1])
        self._write(told)


def log_nameless(write: Write = to_standard_output) -> None:
    """From here on the program's logging goes through `Nameless` and nowhere else."""
    root = logging.getLogger()
    root.handlers = [Nameless(write)]
    root.setLevel(logging.WARNING)
    for name in ("uvicorn", "uvicorn.error", "uvicorn.access"):
        one = logging.getLogger(name)
        one.handlers, one.propagate = [], True
    logging.getLogger("uvicorn.access").disabled = True


def library_log() -> dict[str, Any] | None:
    """How the server's library is to log: not by itself once `log_nameless` was called, else as it does."""
    nameless = any(isinstance(one, Nameless) for one in logging.getLogger().handlers)
    return None if nameless else LOGGING_CONFIG
